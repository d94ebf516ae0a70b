// A lesson from nothing to the film, at the desk alone: by keys, and by mouse.
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import {spawnSync} from 'node:child_process';
import {test} from 'node:test';
import {demo, demoLesson, kept, lessonFolder, program, startDesk, temporaryFolder, until} from './desk.mjs';
import {openBrowser, openPage, screenshot} from './browser.mjs';
import {probe} from './films.mjs';
import {Keyboard, Mouse, untilLesson} from './hands.mjs';
import {faultsOf, saved, tabs, watchFilm} from './teacher.mjs';

const field = (panel, name) => panel.getByRole('textbox', {name, exact: true});
const number = (panel, name) => panel.getByRole('spinbutton', {name, exact: true});
const press = (panel, name) => panel.getByRole('button', {name, exact: true});
const partChoice = page => page.getByRole('combobox', {name: 'Part', exact: true}).first();

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
    const heard = (await desk.lesson()).parts.map(({name}) => name);
    await hands.press(press(lesson, 'Add one without a time'));
    const {parts} = await untilLesson(desk, ({parts}) => parts.length === heard.length + 1, 'one part more');
    const at = parts.findIndex(({name}) => !heard.includes(name));
    const part = page.getByRole('tabpanel', {name: /^Part\b/});
    await part.waitFor();
    await hands.write(field(part, 'Name'), 'Verse');
    await hands.write(field(part, 'Begins'), '0:16.6');
    await hands.write(field(part, 'Ends'), '0:28.6');
    await hands.write(number(part, 'Tempo'), '80');
    await hands.write(number(part, 'Bars counted in'), '1');
    await hands.write(field(part, 'Bars'), 'Am | F | C / | Em');
    const inBar3 = ({severity, part, what}) => severity === 'error' && part === at && what.startsWith('bar 3');
    const wrong = await untilLesson(desk, ({findings}) => findings.some(inBar3), 'the mistake in bar 3');
    const mistake = wrong.findings.find(inBar3);
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

  test(`the whole demo lesson from its chords alone, heard, tapped and typed: ${way}`, async t => {
    const truth = await (async () => {
      const desk = await startDesk(t, lessonFolder(t));
      const lesson = await desk.lesson();
      await desk.stop();
      return lesson.parts;
    })();
    const bare = demoLesson();
    for (const part of bare.sections) for (const key of ['from', 'to', 'pins', 'show']) delete part[key];
    const desk = await startDesk(t, lessonFolder(t, bare));
    const page = await openPage(t, await openBrowser(t), desk), hands = new Hands(page);
    await tabs(page);
    await page.locator('video').waitFor();
    await watchFilm(page);
    const choose = async index => hands.choose(partChoice(page), bare.sections[index].name);
    const timed = async (index, from, to) => {
      await choose(index);
      const part = await hands.open('Part');
      await hands.write(field(part, 'Begins'), from);
      await hands.write(field(part, 'Ends'), to);
      await desk.untilSaved(({sections}) => sections[index].from === from && sections[index].to === to);
      return part;
    };
    const disclosed = async (panel, words) => {
      if (await panel.locator('details:not([open]) > summary').filter({hasText: words}).count() > 0) await hands.press(panel.locator('summary').filter({hasText: words}));
    };
    const cue = async (part, index, kind, words, time) => {
      await disclosed(part, 'Single cues');
      await hands.choose(part.getByRole('combobox', {name: 'Kind'}), kind);
      await hands.write(field(part, 'What is shown'), words);
      await hands.seek(time);
      const before = (await desk.lesson()).parts[index].show.length;
      await hands.press(press(part, 'Show it from here'));
      await untilLesson(desk, ({parts}) => parts[index].show.length === before + 1, `the cue ${words}`);
    };
    const taps = new Map(); // film times at which keys were pressed, by part
    const tapped = async index => {
      await choose(index);
      const panel = await hands.open('Tap');
      await hands.choose(panel.getByRole('combobox', {name: 'Begin', exact: true}), 'where the film stands');
      for (let pass = 0; ; pass++) {
        await hands.seek(truth[index].changes[0].from - 2);
        await page.evaluate(() => { window.tapped = []; });
        await hands.press(press(panel, 'Start'));
        for (const {from} of truth[index].changes) await hands.tapAt(panel, from);
        taps.set(index, await page.evaluate(() => window.tapped));
        await press(panel, 'Keep').waitFor();
        // A pass that went wrong, since the machine was busy, is dropped and tapped again.
        if (pass === 3 || Math.max(...taps.get(index).map((time, n) => Math.abs(time - truth[index].changes[n].from))) < 0.08) break;
        await hands.press(panel.getByRole('button', {name: 'Drop pass 1'}));
      }
      await hands.press(press(panel, 'Keep'));
      await desk.untilSaved(({sections}) => sections[index].pins?.length > 0);
    };

    await timed(0, '0:00', '0:04.4');
    const shapes = await timed(1, '0:04.4', '0:13.6');
    for (const [chord, time] of [['Am', 4.8], ['C', 7], ['Em', 9.2], ['F', 11.4]]) await cue(shapes, 1, 'chord', chord, time);
    await timed(6, '0:56.8', '0:59.6'); // what is talked has its times before the rest can be heard
    await choose(2);
    const hear = await hands.open('Hear');
    await hands.press(press(hear, 'Listen'));
    const take = hear.getByRole('button', {name: /^Take the times of Verse/});
    const heard = await until(async () => (await (await desk.get('runs')).json()).find(({kind, state}) => kind === 'listen' && state !== 'running'), 'listening', 300);
    assert.equal(heard.state, 'done', heard.what);
    await hands.press(take);
    await desk.untilSaved(({sections}) => sections[2].from !== undefined || sections[2].pins !== undefined);
    const right = await timed(3, '0:28.6', '0:37');
    await disclosed(right, 'Pins');
    await hands.write(field(right, 'Bar and beat'), '1.1');
    await hands.seek(31);
    await hands.press(press(right, 'Pin it here'));
    await desk.untilSaved(({sections}) => sections[3].pins?.length === 1);
    await cue(right, 3, 'text', 'p thumb, i index, x tap', 28.8);
    await tapped(4);
    await tapped(5);
    await choose(6);
    await cue(await hands.open('Part'), 6, 'text', 'If your hands hurt, stop and rest.', 57);

    const made = await desk.lesson();
    assert.equal(made.broken, '');
    assert.deepEqual(made.findings.filter(({severity}) => severity === 'error'), []);
    for (const [index, part] of made.parts.entries()) {
      const wanted = taps.get(index) ?? truth[index].changes.map(({from}) => from);
      assert.deepEqual(part.changes.map(({chord}) => chord), truth[index].changes.map(({chord}) => chord), part.name);
      assert.equal(wanted.length, part.changes.length, part.name);
      const off = part.changes.map(({from}, n) => from - wanted[n]);
      t.diagnostic(`${part.name}: ${off.length} changes, ${(1000 * Math.max(0, ...off.map(Math.abs))).toFixed(0)} ms from where they ${taps.has(index) ? 'were tapped' : 'are played'}`);
      assert.ok(Math.max(0, ...off.map(Math.abs)) < 0.1, part.name);
    }
    const film = await makeFilm(t, page, desk, hands, {part: false});
    t.diagnostic(`the film: ${JSON.stringify(film)}`);
    assert.equal(film.frames, 1490, '59.6 s at 25 frames a second');
    await screenshot(page, kept, `whole ${way}`);
    assert.deepEqual(faultsOf(page), []);
  });
}
