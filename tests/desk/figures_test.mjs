// What it costs: answers, the way to the first overlay, memory, bytes. Figures are printed; one that is ten times too large fails.
import assert from 'node:assert/strict';
import fs from 'node:fs';
import {performance} from 'node:perf_hooks';
import {test} from 'node:test';
import {gzipSync} from 'node:zlib';
import {figure, lessonFolder, median, startDesk, temporaryFolder} from './desk.mjs';
import {openBrowser, openPage} from './browser.mjs';
import {longFilm, longLesson, cues, minutes} from './long_lesson.mjs';

/** Milliseconds until the whole answer is there: the one in the middle of seven. */
async function measured(ask) {
  const times = [];
  for (let n = 0; n < 7; n++) {
    const start = performance.now();
    const answer = await ask(n);
    await answer.arrayBuffer();
    times.push(performance.now() - start);
    assert.ok(answer.status === 200, `${answer.status}`);
  }
  return median(times);
}

test(`answers for a lesson of ${minutes} minutes and ${cues} cues, and the memory of the server after them`, async t => {
  const film = longFilm(temporaryFolder(t)), lesson = longLesson();
  assert.equal(lesson.sections.reduce((sum, part) => sum + (part.show?.length ?? 0) + (part.pins?.length ?? 0), 0), cues);
  const desk = await startDesk(t, lessonFolder(t, lesson, film));
  const view = await desk.lesson();
  assert.equal(view.broken, '');
  assert.equal(view.parts.length, 40);
  assert.deepEqual(view.findings.filter(({severity}) => severity === 'error'), []);
  await (await desk.get('scenes?from=0&to=10')).text();
  figure(t, 'lesson', await measured(() => desk.get('lesson')), 'ms', 100);
  figure(t, 'scenes of ten seconds', await measured(n => desk.get(`scenes?from=${100 * n}&to=${100 * n + 10}`)), 'ms', 100);
  const layers = await Promise.all([31, 95, 151, 211, 271, 331, 391].map(async at => (await (await desk.get(`scenes?from=${at}&to=${at + 1}`)).json()).layers.at(-1)));
  figure(t, 'a layer', await measured(n => desk.get(`layer/${layers[n]}`)).catch(() => NaN), 'ms', 100);
  figure(t, 'a still, exact', await measured(n => desk.get(`still?time=${100 * n + 5}&digest=${view.drawn}`)), 'ms', 500);
  figure(t, 'a chart that is typed', await measured(n => desk.post('chart', {part: 1, bars: `Am | F | C | G${n}`, meter: '4/4'})), 'ms', 100);
  figure(t, 'shapes of a chord', await measured(n => desk.get(`shapes?chord=${chords[n]}&part=1`)), 'ms', 100);
  figure(t, 'a verdict', await measured(() => desk.get('verdict?chord=C&frets=x32010&fingers=-32-1-')), 'ms', 100);
  figure(t, 'a pass of taps', await measured(() => desk.post('tap', {part: 1, each: 'change', passes: [Array.from({length: 8}, (_, bar) => 33 + 3 * bar)], late: 0})), 'ms', 100);
  let {digest} = view;
  figure(t, 'an edit', await measured(async n => {
    const answer = await desk.post('edit', {base: digest, what: 'Nudge', edits: [{path: ['sections', 0, 'show', 3, 'from'], value: `0:09.${40 + n}`}]});
    ({digest} = await answer.clone().json());
    return answer;
  }), 'ms', 100);
  figure(t, 'an edit and the lesson after it', await measured(async n => {
    const answer = await desk.post('edit', {base: digest, what: 'Nudge', edits: [{path: ['sections', 2, 'show', 3, 'from'], value: `1:09.${40 + n}`}]});
    ({digest} = await answer.json());
    return desk.get('lesson');
  }), 'ms', 100);
  figure(t, 'a try', await measured(n => desk.post('try', {base: digest, what: 'Nudge', edits: [{path: ['sections', 0, 'show', 3, 'from'], value: `0:09.${50 + n}`}]})), 'ms', 100);

  const size = fs.statSync(film).size;
  let sent = 0;
  for (let n = 0; sent < 300e6; n++) {
    const from = (n * 7_919_113) % (size - 100);
    const answer = await desk.get('film', {Range: n % 3 ? `bytes=${from}-${Math.min(size - 1, from + 4_000_000)}` : `bytes=${from}-`});
    assert.equal(answer.status, 206);
    sent += (await answer.arrayBuffer()).byteLength;
  }
  const hundred = await desk.get('film', {Range: 'bytes=1000-1099'});
  assert.deepEqual(Buffer.from(await hundred.arrayBuffer()), fs.readFileSync(film).subarray(1000, 1100), 'the bytes that were asked for');
  figure(t, `most memory of the server, after ${Math.round(sent / 1e6)} MB of film in ranges`, desk.mostMemory(), 'MB', 400);
});
const chords = ['C', 'G7', 'F%23m7b5', 'Bbmaj9', 'Dsus4', 'E7%239', 'Am/G'];

test('the first overlay is on the page soon after the desk was started, and nothing is asked of anybody else', async t => {
  const browser = await openBrowser(t), times = [];
  for (let n = 0; n < 3; n++) {
    const file = lessonFolder(t), start = performance.now();
    const desk = await startDesk(t, file);
    const page = await openPage(t, browser, desk);
    await page.waitForFunction(() => performance.getEntriesByName('first overlay').length > 0);
    times.push(performance.now() - start);
    await desk.stop();
    for (const url of page.asked) assert.ok(url.startsWith(desk.origin + '/') || /^(data|blob):/.test(url), url);
  }
  figure(t, 'from the start of the program to the first overlay', median(times) / 1000, 's', 2);
});

test('the page is small', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  let bytes = 0;
  for (const where of ['', 'desk.js', 'desk.css']) bytes += gzipSync(Buffer.from(await (await desk.get(where)).arrayBuffer())).length;
  figure(t, 'the page, compressed', bytes / 1000, 'kB', 60);
  assert.ok(bytes < 60_000);
});
