// What is moved, removed and pressed on the strip of time is what the file and the film then have.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {demoLesson, lessonFolder, startDesk, until} from './desk.mjs';
import {openBrowser, openPage} from './browser.mjs';
import {filmIsThere, timeOnScreen} from './teacher.mjs';

const frame = 0.04; // of the demo film: 25 frames a second

/** A mark of the strip by what it is called, without the time that follows. */
const mark = (page, name) => page.getByRole('group', {name: 'Marks', exact: true}).getByRole('button', {name: new RegExp(`^${name}, \\d+:\\d`)});
const middle = async mark => {
  const box = await mark.boundingBox();
  return {x: box.x + box.width / 2, y: box.y + box.height / 2};
};

async function openStrip(t, lesson = demoLesson()) {
  const desk = await startDesk(t, lessonFolder(t, lesson));
  const page = await openPage(t, await openBrowser(t), desk);
  await filmIsThere(page);
  // Two parts begin at 0:16.6 and 0:37 in the file: that many pixels lie between the marks of their beginnings.
  const [verse, chorus] = [await middle(mark(page, 'Verse, slowly starts')), await middle(mark(page, 'Chorus starts'))];
  return {desk, page, second: (chorus.x - verse.x) / (37 - 16.6)};
}

async function drag(page, at, pixels, end = () => page.mouse.up()) {
  await page.mouse.move(at.x, at.y);
  await page.mouse.down();
  await page.mouse.move(at.x + pixels, at.y, {steps: 6});
  await end();
}

const places = [
  {name: 'Verse, slowly starts', time: ({parts}) => parts[2].from, was: 16.6},
  {name: 'Verse, slowly ends', time: ({parts}) => parts[2].to, was: 28.6},
  {name: 'Pin 3.1 of Bridge', time: ({parts}) => parts[5].pins[1].time, was: 51.48},
  {name: 'Chord C in The shapes', time: ({parts}) => parts[1].show[1].from, was: 7},
];

for (const {name, time, was} of places)
  test(`on the strip, "${name}" is dragged onto a frame, and moved by single frames with keys`, async t => {
    const {desk, page, second} = await openStrip(t);
    const shown = async () => time(await desk.lesson());
    assert.ok(Math.abs(await shown() - was) < 1e-6);

    const moved = -0.7; // of a second
    await drag(page, await middle(mark(page, name)), moved * second);
    await until(async () => Math.abs(await shown() - was) > 0.1, 'the mark where it was dropped');
    const dropped = await shown();
    assert.ok(Math.abs(dropped - was - moved) < frame / 2 + 1.5 / second, `${dropped}: a pixel is ${(1 / second).toFixed(3)} s`);
    assert.ok(Math.abs(dropped / frame - Math.round(dropped / frame)) < 1e-3, `${dropped} is on no frame`);
    await until(async () => Math.abs(await timeOnScreen(page) - dropped) < 1e-4, 'the film at the frame of the mark');

    await mark(page, name).focus();
    for (let n = 0; n < 3; n++) await page.keyboard.press('ArrowRight');
    await until(async () => Math.abs(await shown() - dropped - 3 * frame) < 1e-4, 'three frames later');
    await page.keyboard.press('Shift+ArrowLeft');
    await until(async () => Math.abs(await shown() - dropped + 7 * frame) < 1e-4, 'ten frames earlier');
    await until(async () => Math.abs(await timeOnScreen(page) - dropped + 7 * frame) < 1e-4, 'the film at the mark');
    assert.deepEqual(page.faults, []);
  });

test('a drag that is given up with Escape changes nothing', async t => {
  const {desk, page, second} = await openStrip(t);
  const before = desk.cues(), name = 'Pin 3.1 of Bridge';
  const label = await mark(page, name).getAttribute('aria-label');
  await drag(page, await middle(mark(page, name)), second, async () => {
    assert.notEqual(await mark(page, name).getAttribute('aria-label'), label, 'it moves while it is dragged');
    await page.keyboard.press('Escape');
    await page.mouse.up();
  });
  assert.equal(await mark(page, name).getAttribute('aria-label'), label);
  await page.waitForTimeout(500);
  assert.deepEqual(desk.cues(), before);
});

test('by keys alone each mark of a row is reached, and what is removed comes back by undo', async t => {
  const {desk, page} = await openStrip(t);
  const row = page.getByRole('group', {name: 'Pins and cues', exact: true});
  const marks = await row.getByRole('button').count();
  const lesson = demoLesson();
  const inFile = lesson.sections.flatMap(({pins = [], show = []}) => [...pins, ...show, ...show.filter(({to}) => to !== undefined)]);
  assert.equal(marks, inFile.length);

  const focused = () => page.evaluate(() => document.activeElement.getAttribute('aria-label'));
  for (let n = 0; n < 40 && !await row.evaluate(row => row.contains(document.activeElement)); n++) await page.keyboard.press('Tab');
  const reached = new Set([await focused()]);
  for (let n = 1; n < marks; n++) {
    await page.keyboard.press('ArrowDown');
    reached.add(await focused());
  }
  assert.equal(reached.size, marks);

  await page.keyboard.press('Home');
  assert.match(await focused(), /^Chord Am in The shapes/);
  await page.keyboard.press('Delete');
  await desk.untilSaved(cues => cues.sections[1].show.length === 3);
  await until(async () => /^Chord C in The shapes/.test(await focused()), 'the focus on what came next');
  await page.keyboard.press('Control+z');
  await desk.untilSaved(cues => cues.sections[1].show.length === 4);
  assert.deepEqual(desk.cues(), lesson);
});

test('a finding is gone to from the strip and from its list, and its field from there', async t => {
  const lesson = demoLesson();
  lesson.sections[4].bars = 'F | C / G / | Am / Qx / | F'; // the third bar of the chorus, 0:37 at 100 beats a minute: its third beat is at 0:43
  const {page} = await openStrip(t, lesson);
  const found = page.getByRole('group', {name: 'Findings', exact: true}).getByRole('button');
  await found.first().click();
  await until(async () => Math.abs(await timeOnScreen(page) - 43) < frame, 'the film at 0:43');
  const list = page.getByRole('tabpanel', {name: /^Findings/});
  await list.getByText(/Qx/).first().waitFor();
  await list.getByRole('button', {name: 'Show where to change it'}).first().click();
  await until(() => page.evaluate(() => document.activeElement.value?.includes('Qx')), 'the bars of the chorus in a field with the focus');
});
