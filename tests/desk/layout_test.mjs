// For everybody: rules of accessibility hold, and it all fits, from a wide screen to a phone, in the light and in the dark.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {kept, lessonFolder, startDesk} from './desk.mjs';
import {axeSource, openBrowser, openPage, screenshot} from './browser.mjs';
import {faultsOf, filmIsThere, openTab, tabs} from './teacher.mjs';

/** What axe finds, one line each. */
async function faults(page, where) {
  if (await page.evaluate(() => typeof window.axe === 'undefined')) await page.evaluate(axeSource);
  const found = await page.evaluate(() => window.axe.run(document, {rules: {'target-size': {enabled: true}}, resultTypes: ['violations']}));
  assert.ok(found.passes.length > 15, `${where}: axe had something to look at`);
  return found.violations.flatMap(({id, nodes}) => nodes.map(({html, failureSummary}) =>
    `${where}: ${id}: ${html.slice(0, 120)}: ${failureSummary.split('\n').slice(1, 3).join(' ').trim()}`));
}

/** What sticks out to the right of the window, or makes it scroll sideways. */
const sideways = page => page.evaluate(() => {
  const scrolls = element => {
    for (let at = element.parentElement; at && at !== document.body; at = at.parentElement)
      if (['auto', 'scroll', 'hidden', 'clip'].includes(getComputedStyle(at).overflowX)) return true;
    return false;
  };
  const wide = [...document.querySelectorAll('body *')].filter(element => element.checkVisibility?.() !== false && element.getBoundingClientRect().width > 0
    && element.getBoundingClientRect().right > innerWidth + 1 && !scrolls(element));
  const root = document.scrollingElement;
  return [...(root.scrollWidth > innerWidth ? [`the page is ${root.scrollWidth} wide`] : []), ...wide.slice(0, 5).map(element => element.outerHTML.slice(0, 120))];
});

for (const [width, height] of [[1440, 900], [1024, 768], [400, 800]])
  for (const colorScheme of ['light', 'dark'])
    test(`axe finds nothing and nothing sticks out: ${width} pixels wide, ${colorScheme}`, async t => {
      const desk = await startDesk(t, lessonFolder(t));
      const page = await openPage(t, await openBrowser(t), desk, {width, height, colorScheme});
      await filmIsThere(page);
      await page.getByRole('combobox', {name: 'Part', exact: true}).first().selectOption('2');
      const found = [];
      for (const name of await tabs(page)) {
        const panel = await openTab(page, name);
        const closed = panel.locator('details:not([open]) > summary:visible');
        while (await closed.count() > 0) await closed.first().click();
        await page.waitForTimeout(150);
        found.push(...await faults(page, name), ...(await sideways(page)).map(words => `${name}: ${words}`));
        await screenshot(page, kept, `${width} ${colorScheme} ${name}`);
      }
      for (const name of ['Keys', 'Versions']) {
        await page.getByRole('button', {name, exact: true}).click();
        await page.getByRole('dialog').waitFor();
        found.push(...await faults(page, `dialog ${name}`), ...(await sideways(page)).map(words => `dialog ${name}: ${words}`));
        await screenshot(page, kept, `${width} ${colorScheme} ${name}`);
        await page.keyboard.press('Escape');
      }
      assert.deepEqual(found, []);
      assert.deepEqual(faultsOf(page), []);
    });
