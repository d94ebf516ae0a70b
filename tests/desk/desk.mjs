// Starts the desk of the real program on a lesson, and stops it: no mocks.
import {spawn} from 'node:child_process';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import {createInterface} from 'node:readline';
import {setTimeout as sleep} from 'node:timers/promises';
import {fileURLToPath} from 'node:url';

const source = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../..');
export const demo = path.join(source, 'sample_media');
export const program = process.env.TABARD_PROGRAM ?? path.join(source, 'build/dev/cli/tabard');
/** For what a person may want to look at afterwards. */
export const kept = process.env.TABARD_DESK_FOLDER ?? path.join(source, 'build/dev/desk');
fs.mkdirSync(kept, {recursive: true});

const lastFirst = new WeakMap(); // what each test still has to do at its end

/** Does `end` when the test `t` ends, the last that was asked for first: a program stops before its folder goes. Each is done, whether or not another failed. */
export function atEnd(t, end) {
  if (!lastFirst.has(t)) {
    const ends = [];
    lastFirst.set(t, ends);
    t.after(async () => {
      const failed = [];
      for (const each of ends.reverse()) await Promise.resolve().then(each).catch(error => failed.push(error));
      if (failed.length) throw failed.length === 1 ? failed[0] : new AggregateError(failed, failed.join('; '));
    });
  }
  lastFirst.get(t).push(end);
}

/** An empty folder that is removed when the test `t` ends. */
export function temporaryFolder(t) {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'tabard_desk_'));
  atEnd(t, () => fs.rmSync(folder, {recursive: true, force: true}));
  return folder;
}

/** The demo lesson as JSON. */
export const demoLesson = () => JSON.parse(fs.readFileSync(path.join(demo, 'lantern.json'), 'utf8'));

/** A folder with a lesson `lesson` (JSON, or a text) and its film; gives the cue file's path. */
export function lessonFolder(t, lesson = demoLesson(), film = path.join(demo, 'lantern.mp4')) {
  const folder = temporaryFolder(t);
  const file = path.join(folder, 'lantern.json');
  fs.copyFileSync(film, path.join(folder, 'lantern.mp4'));
  fs.writeFileSync(file, typeof lesson === 'string' ? lesson : JSON.stringify(lesson, null, 2) + '\n');
  return file;
}

export class Desk {
  constructor(process, file) {
    this.process = process;
    this.file = file; // the lesson
    this.said = ''; // on standard error
    this.ended = new Promise(resolve => {
      process.on('exit', (code, signal) => resolve({code, signal}));
      process.on('error', error => { this.said += error; resolve({code: null, signal: null}); }); // it never began
    });
  }

  get token() { return new URL(this.url).pathname.split('/')[1]; }
  get origin() { return new URL(this.url).origin; }
  get port() { return Number(new URL(this.url).port); }

  get(where, headers = {}) { return fetch(this.url + where, {headers}); }

  post(where, body) {
    return fetch(this.url + where, {
      method: 'POST',
      headers: {'Tabard-Token': this.token, 'Content-Type': 'application/json'},
      body: JSON.stringify(body),
    });
  }

  async lesson() { return (await this.get('lesson')).json(); }

  /** Edits on top of what is there now. */
  async edit(what, ...edits) { return this.post('edit', {base: (await this.lesson()).digest, what, edits}); }

  /** The cue file as it is on disk. */
  cues() { return JSON.parse(fs.readFileSync(this.file, 'utf8')); }

  /** Waits until `wanted(cues on disk)` is true. */
  async untilSaved(wanted, seconds = 30) {
    await until(() => wanted(this.cues()), `the cue file as wanted: ${fs.readFileSync(this.file, 'utf8')}`, seconds);
    return this.cues();
  }

  /** Most memory that the server ever had, in MB: VmHWM of proc(5). */
  mostMemory() {
    const status = fs.readFileSync(`/proc/${this.process.pid}/status`, 'utf8');
    return Number(/VmHWM:\s+(\d+) kB/.exec(status)[1]) / 1024;
  }

  async stop() {
    if (this.process.exitCode === null && this.process.signalCode === null) this.process.kill('SIGINT');
    const late = setTimeout(() => this.process.kill('SIGKILL'), 60_000);
    const end = await this.ended;
    clearTimeout(late);
    return end;
  }

  async kill() {
    this.process.kill('SIGKILL');
    return this.ended;
  }
}

/** Opens the desk on `file`. What it keeps goes to a folder of this test; the same `state` again is the same teacher again. */
export async function startDesk(t, file, {state = temporaryFolder(t), args = []} = {}) {
  const env = {...process.env, XDG_STATE_HOME: path.join(state, 'state'), XDG_CACHE_HOME: path.join(state, 'cache'),
               TABARD_CACHE: path.join(state, 'cache/tabard'), FONTCONFIG_FILE: path.join(source, 'tests/data/fonts.conf')};
  const desk = new Desk(spawn(program, ['desk', '--no-browser', ...args, file], {env, stdio: ['ignore', 'pipe', 'pipe']}), file);
  atEnd(t, async () => {
    await desk.stop();
    if (/Sanitizer|runtime error/.test(desk.said)) throw new Error(desk.said);
  });
  desk.process.stderr.on('data', data => { desk.said += data; });
  desk.url = await new Promise((resolve, reject) => {
    createInterface(desk.process.stdout).on('line', line => {
      const url = /http:\/\/\S+/.exec(line);
      if (url) resolve(url[0].endsWith('/') ? url[0] : url[0] + '/');
    });
    desk.ended.then(({code}) => reject(new Error(`the desk ended with ${code}: ${desk.said}`)));
  });
  return desk;
}

/** Asks again and again until `holds()` is true (what it gives), or fails with `what`. */
export async function until(holds, what, seconds = 30) {
  const end = Date.now() + 1000 * seconds;
  for (;;) {
    const held = await holds();
    if (held) return held;
    if (Date.now() > end) throw new Error(`not within ${seconds} s: ${what}`);
    await sleep(50);
  }
}

/** The one in the middle. */
export const median = numbers => [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)];

/** Prints a figure, and keeps it in figures.txt. Machines differ: `most` times ten is what fails, and nothing under sanitizers. */
export function figure(t, words, value, unit, most) {
  const line = `${words}: ${value.toFixed(value < 10 ? 2 : 0)} ${unit}` + (most ? ` (wanted: at most ${most})` : '');
  t.diagnostic(line);
  fs.appendFileSync(path.join(kept, 'figures.txt'), line + '\n');
  if (most && value > 10 * most && !process.env.TABARD_SLOW) throw new Error(line);
}
