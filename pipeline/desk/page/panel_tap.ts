import { el, Panel } from "./page";

export const tap_panel: Panel = { name: "Tap", build: () => el("div") };
