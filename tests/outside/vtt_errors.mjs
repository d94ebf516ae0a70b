// Prints what webvtt-parser finds wrong with a file: node vtt_errors.mjs subtitles|chapters FILE
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const require = createRequire(import.meta.url);
const { WebVTTParser } = require("webvtt-parser");
const [kind, file] = process.argv.slice(2);
for (const error of new WebVTTParser().parse(readFileSync(file, "utf8"), kind).errors)
  console.log(`${error.line}:${error.message}`);
