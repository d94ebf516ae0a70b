// Two pages, other programs and a server that ends, as seen from the page.
import assert from 'node:assert/strict';
import fs from 'node:fs';
import {test} from 'node:test';
import {setTimeout as sleep} from 'node:timers/promises';
import {demoLesson, lessonFolder, startDesk, temporaryFolder, until} from './desk.mjs';
import {openBrowser, openPage} from './browser.mjs';
import {filmIsThere, openTab, saved} from './teacher.mjs';

const heading = page => page.getByRole('heading', {level: 1});
async function retitle(page, words) {
  const field = (await openTab(page, 'Lesson')).getByRole('textbox', {name: 'Title', exact: true});
  await field.fill(words);
  await field.press('Tab');
}

test('what is changed on one page is seen on the other', async t => {
  const desk = await startDesk(t, lessonFolder(t)), browser = await openBrowser(t);
  const [one, other] = [await openPage(t, browser, desk), await openPage(t, browser, desk)];
  await Promise.all([filmIsThere(one), filmIsThere(other)]);
  await retitle(one, 'From one');
  await desk.untilSaved(({title}) => title === 'From one');
  await until(async () => await heading(other).innerText() === 'From one', 'the other page');
  await retitle(other, 'From the other');
  await desk.untilSaved(({title}) => title === 'From the other');
  await until(async () => await heading(one).innerText() === 'From the other', 'the first page');
  await one.getByRole('button', {name: /^Undo: /}).click();
  await until(async () => await heading(other).innerText() === 'From one', 'undone on both');
});

// However slowly the server answers, and in whatever order the page hears of it.
for (const slow of ['try', 'edit', 'lesson'])
  test(`a field that is on its way keeps what was typed, and nothing is said to be unsaved: slow ${slow}`, async t => {
    const bare = demoLesson();
    for (const part of bare.sections) for (const key of ['from', 'to', 'pins', 'show']) delete part[key];
    const desk = await startDesk(t, lessonFolder(t, bare));
    const page = await openPage(t, await openBrowser(t), desk);
    await filmIsThere(page);
    const part = await openTab(page, 'Part');
    const field = name => part.getByRole('textbox', {name, exact: true});
    let asked = 0;
    await page.route(`**/${slow}*`, async route => {
      await sleep(asked++ === 0 ? 300 : 1200);
      await route.continue();
    });
    const values = new Set();
    await page.exposeFunction('heldValue', value => values.add(value));
    await field('Begins').fill('0:00');
    await field('Begins').blur();
    await field('Ends').fill('0:04.4');
    await field('Ends').blur();
    await field('Ends').evaluate(control => { setInterval(() => window.heldValue(control.value), 5); });
    await desk.untilSaved(({sections: [{from, to}]}) => from === '0:00' && to === '0:04.4');
    await saved(page);
    assert.deepEqual([...values], ['0:04.4'], 'what the field held meanwhile');
    await page.getByRole('combobox', {name: 'Part', exact: true}).first().selectOption({index: 2});
    await until(async () => await field('Ends').inputValue() === '', 'the other part');
    assert.deepEqual(await page.getByRole('alert').allInnerTexts().then(all => all.filter(words => words)), []);
  });

test('what another program writes is seen on the page without a question', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  const page = await openPage(t, await openBrowser(t), desk);
  await filmIsThere(page);
  fs.writeFileSync(desk.file, JSON.stringify({...desk.cues(), title: 'From an editor'}));
  await until(async () => await heading(page).innerText() === 'From an editor', 'the page');
});

for (const keep of ['Keep mine', "Keep the file's"])
  test(`where a page and another program change the lesson, both versions are shown: ${keep}`, async t => {
    const desk = await startDesk(t, lessonFolder(t));
    const page = await openPage(t, await openBrowser(t), desk).then(async page => {
      await filmIsThere(page);
      return page;
    });
    await page.route('**/events', () => {}); // a page that does not hear of it: it asks, and nobody answers
    await page.reload();
    await filmIsThere(page);
    await openTab(page, 'Lesson');
    const theirs = JSON.stringify({...desk.cues(), title: 'From an editor'}, null, 1);
    fs.writeFileSync(desk.file, theirs);
    await retitle(page, 'From the page');
    const dialog = page.getByRole('dialog', {name: 'Two versions of this lesson'});
    await dialog.waitFor();
    assert.match(await dialog.innerText(), /From the page/);
    assert.match(await dialog.innerText(), /From an editor/);
    assert.equal(fs.readFileSync(desk.file, 'utf8'), theirs, 'nothing is overwritten before the answer');
    await dialog.getByRole('button', {name: keep}).click();
    const [kept, left] = keep === 'Keep mine' ? ['From the page', 'From an editor'] : ['From an editor', 'From the page'];
    await desk.untilSaved(({title}) => title === kept);
    await until(async () => await heading(page).innerText() === kept, 'the page');
    const versions = await (await desk.get('versions')).json();
    const texts = await Promise.all(versions.map(async ({id}) => (await desk.get('version?id=' + encodeURIComponent(id))).text()));
    assert.ok(texts.some(text => text.includes(left)), 'the other one is a version');
  });

test('the page says that the desk has ended, keeps what is typed, and a new desk has all that was saved', async t => {
  const file = lessonFolder(t), state = temporaryFolder(t), browser = await openBrowser(t);
  const desk = await startDesk(t, file, {state});
  const page = await openPage(t, browser, desk);
  await filmIsThere(page);
  await retitle(page, 'Before the end');
  await desk.untilSaved(({title}) => title === 'Before the end');
  await saved(page);
  await desk.kill();
  await page.getByRole('alert').filter({hasText: /not running/}).waitFor();
  await retitle(page, 'After the end');
  await page.getByRole('alert').filter({hasText: /not saved/}).first().waitFor();
  assert.equal(await page.getByRole('textbox', {name: 'Title', exact: true}).inputValue(), 'After the end', 'what was typed is still there');
  const again = await startDesk(t, file, {state});
  const next = await openPage(t, browser, again);
  await filmIsThere(next);
  assert.equal(await heading(next).innerText(), 'Before the end');
  await next.getByRole('button', {name: /^Undo: /}).click();
  await again.untilSaved(({title}) => title === 'Lantern on the Quay');
});
