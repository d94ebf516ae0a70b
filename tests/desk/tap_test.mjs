// What is tapped to the playing film is what stands in the file.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {lessonFolder, startDesk, until} from './desk.mjs';
import {openBrowser, openPage} from './browser.mjs';
import {filmIsThere, openTab, watchFilm} from './teacher.mjs';

/** Plays a pass: `tap()` at each of `times` of the film. */
async function pass(page, panel, times, tap) {
  await page.evaluate(() => { window.tapped = []; });
  await panel.getByRole('button', {name: /^(Start|Tap another pass)$/}).last().click();
  for (const time of times) {
    await page.waitForFunction(time => !document.querySelector('video').paused && window.filmTime() >= time, time, {polling: 'raf'});
    await tap();
  }
  const tapped = await page.evaluate(() => window.tapped);
  await panel.getByRole('button', {name: 'Keep'}).waitFor();
  return tapped;
}

for (const {speed, how} of [{speed: 'full speed', how: 'key'}, {speed: 'half speed', how: 'pointer'}])
  test(`a part that was tapped with the ${how} at ${speed} has pins where it was tapped`, async t => {
    const desk = await startDesk(t, lessonFolder(t));
    const page = await openPage(t, await openBrowser(t), desk);
    await filmIsThere(page);
    await watchFilm(page);
    const part = (await desk.lesson()).parts[4];
    assert.equal(part.name, 'Chorus');
    await page.getByRole('combobox', {name: 'Part', exact: true}).first().selectOption('4');
    const panel = await openTab(page, 'Tap');
    await panel.getByRole('combobox', {name: 'Film at'}).selectOption({label: speed});
    // Not where the cue file has them: a fifth of a second later, each a little off.
    const times = part.changes.map(({from}, n) => from + 0.2 + [0, 0.04, -0.03, 0.05, -0.05][n % 5]);
    const tapped = await pass(page, panel, times, async () => {
      if (how === 'key') return page.keyboard.press('t');
      await panel.getByRole('button').filter({hasText: /then|the last one|all tapped/}).click();
    });
    assert.equal(tapped.length, times.length);
    const late = tapped.map((tap, n) => tap - times[n]);
    t.diagnostic(`keys came ${(1000 * Math.min(...late)).toFixed(0)} to ${(1000 * Math.max(...late)).toFixed(0)} ms after they were wanted`);
    await panel.getByRole('button', {name: 'Keep'}).click();
    const cues = await desk.untilSaved(cues => cues.sections[4].pins?.length > 0);
    const lesson = await until(async () => { const now = await desk.lesson(); return now.parts[4].pins.length > 0 && now; }, 'the pins');
    const places = part.changes.map(({bar, beat}) => `${bar}.${beat}`);
    const off = lesson.parts[4].pins.map(({bar, time}) => {
      const n = places.indexOf(bar);
      assert.ok(n >= 0, `a pin at ${bar}, which was not tapped`);
      return time - tapped[n];
    });
    t.diagnostic(`${cues.sections[4].pins.length} pins; off by ${off.map(each => (1000 * each).toFixed(0)).join(' ')} ms`);
    assert.ok(Math.max(...off.map(Math.abs)) < 0.05);
    // And what is shown follows: the first change is where it was tapped.
    assert.ok(Math.abs(lesson.parts[4].changes[0].from - tapped[0]) < 0.06);
  });
