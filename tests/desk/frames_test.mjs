// The frame on screen is the one that is named, and what lies over it is what the renderer draws there.
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import {spawnSync} from 'node:child_process';
import {test} from 'node:test';
import {demo, demoLesson, lessonFolder, startDesk, temporaryFolder, until} from './desk.mjs';
import {frameOnScreen, openBrowser, openPage, Pictures} from './browser.mjs';
import {frameTimes, numberedFilm, numberOnScreen} from './films.mjs';
import {film, filmAsSeen, filmIsThere, goTo, leaveFields, press, stands, timeOnScreen} from './teacher.mjs';

const numberedLesson = {tabard: 1, title: 'Numbers', footage: 'lantern.mp4', sections: [{name: 'All', from: '0:00', to: '0:09', show: [{chord: 'C', from: '0:01'}, {chord: 'G', from: '0:02.5'}]}]};
// A browser that counts a late film's length from its first frame cannot go to its last ones.
const films = [
  {name: '25 frames a second', rate: '25', count: 240},
  {name: '29.97 frames a second', rate: '30000/1001', count: 290},
  {name: 'frames at varying times', rate: '60', count: 580, filter: "select='not(mod(n\\,7))+not(mod(n\\,5))+between(n\\,100\\,200)'"},
  {name: 'a film that begins late', rate: '25', count: 240, extra: ['-output_ts_offset', '1.5', '-avoid_negative_ts', 'disabled'], todo: 'the last frames of a film that begins late cannot be reached'},
];

for (const {name, todo, ...how} of films)
  test(`each frame is reached by its key and is the one on screen: ${name}`, {todo}, async t => {
    const file = path.join(temporaryFolder(t), 'numbers.mp4');
    await numberedFilm(file, how);
    const times = frameTimes(file);
    const desk = await startDesk(t, lessonFolder(t, numberedLesson, file));
    const page = await openPage(t, await openBrowser(t), desk);
    await filmIsThere(page);
    const answer = await until(async () => { const got = await desk.get('frames'); return got.status === 200 && got; }, 'the frame times');
    const listed = new Float64Array(await answer.arrayBuffer());
    assert.equal(listed.length, times.length);
    const zero = listed[0] - times[0]; // what film time 0 is; the same for all
    times.forEach((time, n) => assert.ok(Math.abs(listed[n] - time - zero) < 2e-5, `frame ${n}: ${listed[n]}, ffprobe says ${time}`));

    // Which number each frame carries, by ffmpeg's own decoding.
    const numbers = numbersOf(file);
    assert.equal(numbers.length, times.length);
    await leaveFields(page);
    await press(page, 'Home').catch(() => {});
    let at = await frameOf(page, listed), right = 0, shown = 0;
    const look = async wanted => {
      await stands(page);
      let sees; // a frame may come a refresh late
      for (let n = 0; n < 10 && (sees = await numberOnScreen(page)) !== numbers[wanted]; n++) await page.waitForTimeout(30);
      const says = await frameOf(page, listed);
      shown++;
      if (says === wanted && sees === numbers[wanted]) right++;
      else t.diagnostic(`wanted frame ${wanted} (number ${numbers[wanted]}): the page says ${says} and shows number ${sees}`);
      at = wanted;
    };
    for (let n = 0; n < 30; n++) { await press(page, '.'); await look(at + 1); }
    await press(page, '>', 5); await look(at + 50);
    for (let n = 0; n < 10; n++) { await press(page, ','); await look(at - 1); }
    for (const key of ['ArrowRight', 'ArrowRight', 'Shift+ArrowRight', 'ArrowLeft', 'ArrowLeft', 'ArrowRight']) {
      const wanted = listed[at] + {ArrowRight: 1, ArrowLeft: -1, 'Shift+ArrowRight': 5}[key];
      await press(page, key);
      await look(Math.max(0, listed.findLastIndex(time => time <= wanted + 0.0005)));
    }
    t.diagnostic(`${right} of ${shown} right`);
    assert.equal(right, shown);
  });

async function frameOf(page, listed) {
  const time = await timeOnScreen(page);
  return [...listed].findIndex(each => Math.abs(each - time) < 1e-5);
}

/** The number of each frame of a numbered film as ffmpeg decodes it. */
function numbersOf(file) {
  const {stdout} = spawnSync('ffmpeg', ['-v', 'error', '-i', file, '-map', '0:v', '-fps_mode', 'passthrough', '-vf', 'format=gray,crop=320:1:0:30', '-pix_fmt', 'gray', '-f', 'rawvideo', '-'],
                             {maxBuffer: 1 << 28});
  return Array.from({length: stdout.length / 320}, (_, frame) => {
    let number = 0;
    for (let field = 0; field < 16; field++) if (stdout[frame * 320 + field * 20 + 10] > 128) number |= 1 << field;
    return number;
  });
}

/** The demo's frame `number` between its neighbours as ffmpeg decodes them, half as large: three PNGs. */
function demoFrames(folder, number) {
  const from = (number - 1.5) / 25; // the first frame from there on is the one before
  const {status, stderr} = spawnSync('ffmpeg', ['-v', 'error', '-y', '-ss', String(from), '-i', path.join(demo, 'lantern.mp4'), '-vf', // Without its colour tags, which would make a browser convert it once more.
                                                'scale=640:360:in_color_matrix=bt709:flags=accurate_rnd+full_chroma_int,format=rgb24,setparams=color_trc=unknown:color_primaries=unknown', '-fps_mode', 'passthrough',
                                                '-frames:v', '3', path.join(folder, `${number}_%d.png`)], {encoding: 'utf8'});
  assert.equal(status, 0, stderr);
  return [1, 2, 3].map(n => fs.readFileSync(path.join(folder, `${number}_${n}.png`)));
}

test('at forty instants of the demo the frame on screen is that of the film, with what the renderer draws over it', async t => {
  const desk = await startDesk(t, lessonFolder(t)), browser = await openBrowser(t);
  const page = await openPage(t, browser, desk), pictures = await Pictures.open(t, browser);
  await filmIsThere(page);
  const numbers = Array.from({length: 40}, (_, n) => 7 + 36 * n + (n * 13) % 11); // spread over 59.6 s at 25 a second
  assert.ok(Math.max(...numbers) < 1489);
  const folder = temporaryFolder(t);
  const {drawn} = await desk.lesson();
  await leaveFields(page);
  let nearest = 0, worst = [0, 0, 0], live = 0;
  for (const number of numbers) {
    const time = number / 25;
    await goTo(page, time);
    await stands(page);
    const seen = await frameOnScreen(page, 0.5);
    const [before, own, after] = await Promise.all(demoFrames(folder, number).map(each => pictures.difference(each, seen)));
    if (own <= before && own <= after) nearest++;
    else t.diagnostic(`frame ${number}: differs by ${own}, its neighbours by ${before} and ${after}`);
    const still = Buffer.from(await (await desk.get(`still?time=${time}&digest=${drawn}`)).arrayBuffer());
    const exact = await pictures.difference(await filmAsSeen(page), still, 12, 3);
    // Without the exact frame, as while the film plays: what is seen then are the live overlays.
    await film(page).locator('img').evaluateAll(images => images.forEach(image => { image.style.visibility = 'hidden'; }));
    const overlaid = await pictures.difference(await filmAsSeen(page), still, 12, 3);
    await film(page).locator('img').evaluateAll(images => images.forEach(image => { image.style.visibility = ''; }));
    const {scenes} = await (await desk.get(`scenes?from=${time}&to=${time + 0.01}`)).json();
    if (scenes.some(layers => layers.length > 0)) live++;
    worst = [Math.max(worst[0], own), Math.max(worst[1], exact), Math.max(worst[2], overlaid)];
    if (overlaid > 8) t.diagnostic(`frame ${number}: live overlays differ by ${overlaid}`);
  }
  t.diagnostic(`nearest to its own frame ${nearest} of 40; worst mean differences: frame ${worst[0].toFixed(2)}, exact frame ${worst[1].toFixed(2)}, live overlays ${worst[2].toFixed(2)} of 255 (worst of 12 x 12 squares)`);
  assert.equal(nearest, 40);
  assert.ok(live > 30, `${live} of 40 have overlays`);
  const plain = Buffer.from(await (await desk.get(`still?time=${numbers.at(-4) / 25}&digest=${drawn}&plain=1`)).arrayBuffer());
  const drawnOver = Buffer.from(await (await desk.get(`still?time=${numbers.at(-4) / 25}&digest=${drawn}`)).arrayBuffer());
  assert.ok(await pictures.difference(plain, drawnOver, 12, 3) > 20, 'a card that is missing would be seen');
  assert.ok(worst[1] < 3, 'the exact frame is what is seen');
  assert.ok(worst[2] < 8, 'live overlays are those of the renderer');
});

test('nudging a cue by a frame changes the still on exactly that frame', async t => {
  const lesson = demoLesson();
  const desk = await startDesk(t, lessonFolder(t, lesson)), browser = await openBrowser(t), pictures = await Pictures.open(t, browser);
  // "The shapes": C from 0:07 is frame 175 of 25 a second. The still at frame n before the nudge and after it:
  const still = async (frame, digest) => Buffer.from(await (await desk.get(`still?time=${frame / 25}&digest=${digest}`)).arrayBuffer());
  const where = ['sections', 1, 'show', 1, 'from'];
  const before = await desk.lesson();
  const stills = await Promise.all([173, 174, 175, 176].map(frame => still(frame, before.drawn)));
  const nudge = async frames => {
    const answer = await desk.post('move', {base: (await desk.lesson()).digest, path: where, frames});
    assert.equal(answer.status, 200, await answer.text());
    const after = await desk.lesson();
    return Promise.all([173, 174, 175, 176].map(frame => still(frame, after.drawn)));
  };
  const changed = async (a, b) => Promise.all(a.map(async (one, n) => await pictures.difference(one, b[n], 12) > 10));
  assert.deepEqual(await changed(stills, await nudge(-1)), [false, true, false, false], 'one frame earlier: frame 174 shows the new chord');
  assert.deepEqual(await changed(stills, await nudge(1)), [false, false, false, false], 'and back again');
  assert.deepEqual(await changed(stills, await nudge(1)), [false, false, true, false], 'one frame later: frame 175 shows the old one');
});
