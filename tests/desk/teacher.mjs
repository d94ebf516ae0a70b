// What a teacher does on the page, by the names of things and by keys.
import assert from 'node:assert/strict';
import {until} from './desk.mjs';

export const film = page => page.getByRole('region', {name: 'Film', exact: true});

/** Waits until the film and its overlays can be seen. */
export async function filmIsThere(page) {
  await page.waitForFunction(() => document.querySelector('video')?.readyState >= 2 && performance.getEntriesByName('first overlay').length > 0);
}

/** Film time of the frame that the page says it shows. */
export const timeOnScreen = async page => Number(await film(page).getAttribute('data-time'));

/** Waits until the film stands and shows the renderer's own frame. */
export async function stands(page) {
  await page.waitForFunction(() => {
    const video = document.querySelector('video'), {time, still} = document.querySelector('section[aria-label=Film]').dataset;
    return video.paused && !video.seeking && time !== undefined && time === still;
  });
}

/** Gives the keys of the page their place: no field has the focus. */
export const leaveFields = page => page.evaluate(() => document.activeElement?.blur());

/** Keys that belong to the page, one after the other. */
export async function press(page, key, times = 1) {
  for (let n = 0; n < times; n++) await page.keyboard.press(key);
}

/** Goes to the frame at `time` by keys: five seconds, seconds, single frames. No field may have the focus. */
export async function goTo(page, time, frame = 0.04) {
  for (const [step, forth, back] of [[5, 'Shift+ArrowRight', 'Shift+ArrowLeft'], [1, 'ArrowRight', 'ArrowLeft'], [10 * frame, '>', '<'], [frame, '.', ',']]) {
    for (let guard = 0; guard < 400; guard++) {
      const way = time - await timeOnScreen(page);
      if (Math.abs(way) < step - (step === frame ? frame / 2 : 1e-6)) break;
      await page.keyboard.press(way > 0 ? forth : back);
    }
  }
  assert.ok(Math.abs(await timeOnScreen(page) - time) < frame / 2 + 0.001, `${await timeOnScreen(page)} is not ${time}`);
}

/** Names of the panels. */
export async function tabs(page) {
  await page.getByRole('tab').first().waitFor();
  return (await page.getByRole('tab').allInnerTexts()).map(text => text.replace(/\s*\d+$/, '').trim());
}

/** Brings a panel to the front; gives it. */
export async function openTab(page, name) {
  await page.getByRole('tab', {name: new RegExp(`^${name}\\b`)}).click();
  const panel = page.getByRole('tabpanel', {name: new RegExp(`^${name}\\b`)});
  await panel.waitFor();
  return panel;
}

/** Waits until nothing is on its way to the file. */
export const saved = page => until(async () => await page.getByText('Saved', {exact: true}).count() > 0, 'Saved');

/** The film and what lies over it, as it is seen. */
export async function filmAsSeen(page) {
  const box = await page.locator('video').boundingBox();
  return page.screenshot({clip: box});
}

/** What went wrong in the page's own scripts. An answer that says no is no fault: the browser notes each. */
export const faultsOf = page => page.faults.filter(fault => !/Failed to load resource/.test(fault));

/** A clock of the film beside the page's own: what the browser says of each frame that it has shown. Notes when keys were pressed. */
export function watchFilm(page) {
  return page.evaluate(() => {
    const video = document.querySelector('video');
    let last = null;
    const shown = (_, frame) => { last = frame; video.requestVideoFrameCallback(shown); };
    video.requestVideoFrameCallback(shown);
    window.filmTime = (moment = performance.now()) => last && last.mediaTime + (moment - last.expectedDisplayTime) / 1000 * video.playbackRate;
    window.tapped = [];
    window.addEventListener('keydown', event => { if (event.key === 't') window.tapped.push(window.filmTime(event.timeStamp)); }, true);
    window.addEventListener('pointerdown', event => { if (!video.paused) window.tapped.push(window.filmTime(event.timeStamp)); }, true);
  });
}
