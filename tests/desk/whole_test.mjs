// A lesson from nothing to the film, at the desk alone: by keys, and by mouse.
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import {spawnSync} from 'node:child_process';
import {test} from 'node:test';
import {demo, kept, program, startDesk, temporaryFolder, until} from './desk.mjs';
import {openBrowser, openPage, screenshot} from './browser.mjs';
import {probe} from './films.mjs';
import {Keyboard, Mouse, untilLesson} from './hands.mjs';
import {faultsOf, saved, tabs} from './teacher.mjs';

const field = (panel, name) => panel.getByRole('textbox', {name, exact: true});
const number = (panel, name) => panel.getByRole('spinbutton', {name, exact: true});
const press = (panel, name) => panel.getByRole('button', {name, exact: true});

/** Films in the folder of the lesson besides its footage. */
const filmsMade = desk => fs.readdirSync(path.dirname(desk.file)).filter(name => name.endsWith('.mp4') && name !== 'lantern.mp4');

async function makeFilm(t, page, desk, hands, {part}) {
  const panel = await hands.open('Out');
  await hands.tick(panel.getByRole('checkbox', {name: /draft/i}));
  if (part) await hands.tick(panel.getByRole('checkbox', {name: /selected part/}));
  await hands.press(press(panel, 'Make the film'));
  await until(async () => (await (await desk.get('runs')).json()).some(({kind, state}) => kind === 'render' && state !== 'running'), 'the film', 300);
  const run = (await (await desk.get('runs')).json()).find(({kind}) => kind === 'render');
  assert.equal(run.state, 'done', run.what);
  assert.equal(filmsMade(desk).length, 1);
  assert.deepEqual(run.made, filmsMade(desk));
  await hands.press(press(panel, `Play ${run.made[0]}`));
  const player = page.getByRole('dialog', {name: run.made[0]});
  await until(() => player.locator('video').evaluate(video => video.videoWidth > 0 && video.currentTime > 0), 'the film playing on the page');
  await page.keyboard.press('Escape');
  return probe(path.join(path.dirname(desk.file), run.made[0]));
}

for (const Hands of [Keyboard, Mouse]) {
  const {name: way} = new Hands();
  test(`from a starter file to a film of a part: ${way}`, async t => {
    const folder = temporaryFolder(t), file = path.join(folder, 'lantern.json');
    fs.copyFileSync(path.join(demo, 'lantern.mp4'), path.join(folder, 'lantern.mp4'));
    assert.equal(spawnSync(program, ['start', path.join(folder, 'lantern.mp4'), '-o', file]).status, 0);
    const desk = await startDesk(t, file);
    const page = await openPage(t, await openBrowser(t), desk), hands = new Hands(page);
    await tabs(page);
    const lesson = await hands.open('Lesson');
    await hands.press(press(lesson, 'Add one without a time'));
    const at = (await untilLesson(desk, ({parts}) => parts.length === 2, 'two parts')).parts.length - 1;
    const part = page.getByRole('tabpanel', {name: /^Part\b/});
    await part.waitFor();
    await hands.write(field(part, 'Name'), 'Verse');
    await hands.write(field(part, 'Begins'), '0:16.6');
    await hands.write(field(part, 'Ends'), '0:28.6');
    await hands.write(number(part, 'Tempo'), '80');
    await hands.write(number(part, 'Bars counted in'), '1');
    await hands.write(field(part, 'Bars'), 'Am | F | C / | Em');
    const wrong = await untilLesson(desk, ({findings}) => findings.some(({severity, part}) => severity === 'error' && part === at), 'the mistake in bar 3');
    const mistake = wrong.findings.find(({severity, part}) => severity === 'error' && part === at);
    const findings = await hands.open('Findings');
    await findings.getByText(mistake.what.slice(0, 30)).first().waitFor();
    await hands.open('Part');
    await hands.write(field(part, 'Bars'), 'Am | F | C | Em');
    const right = await untilLesson(desk, ({findings, parts}) => !findings.some(({severity}) => severity === 'error') && parts[at].changes.length === 4, 'no errors');
    assert.deepEqual(right.parts[at].changes.map(({chord}) => chord), ['Am', 'F', 'C', 'Em']);
    assert.deepEqual(right.parts[at].changes.map(({from}) => from), [16.6, 19.6, 22.6, 25.6], '4 beats of 60/80 s each');
    await saved(page);
    const film = await makeFilm(t, page, desk, hands, {part: true});
    t.diagnostic(`the film of the part: ${JSON.stringify(film)}`);
    assert.ok(film.seconds > 11.5 && film.seconds < 16.5, 'the part with its count-in');
    await screenshot(page, kept, `made ${way}`);
    assert.deepEqual(faultsOf(page), []);
  });
}
