// Nothing that was said to be saved is ever lost: killed servers, two pages, other programs that write the same file.
import assert from 'node:assert/strict';
import fs from 'node:fs';
import {test} from 'node:test';
import {setTimeout as sleep} from 'node:timers/promises';
import {lessonFolder, startDesk, temporaryFolder, until} from './desk.mjs';

const title = value => ({path: ['title'], value});

test('a server that is killed in mid-edit twenty times loses nothing that it said was saved', async t => {
  const file = lessonFolder(t), state = temporaryFolder(t);
  let number = 0, saved = 0, inFlight = 0, random = 1;
  for (let round = 0; round < 20; round++) {
    const desk = await startDesk(t, file, {state});
    // What is there now: the last that was answered, or one whose answer the kill has swallowed.
    const found = await desk.lesson();
    const held = Number(/^Title (\d+)/.exec(found.title)?.[1] ?? 0);
    assert.ok(held === saved || held === number, `round ${round}: "${found.title}" after ${saved} answered of ${number} sent`);
    assert.equal(found.parts.length, 7, 'all parts are there');
    if (held > 0) assert.equal(found.undo, `Title ${held}`, 'and can be undone');
    saved = held;
    let {digest} = found, running = true;
    const edits = (async () => {
      while (running) {
        number++;
        const answer = await desk.post('edit', {base: digest, what: `Title ${number}`, edits: [title(`Title ${number}`), {path: ['note'], value: 'x'.repeat(5000)}]}).catch(() => null);
        const body = answer?.ok ? await answer.json().catch(() => null) : null;
        if (!body) return;
        digest = body.digest;
        saved = number;
      }
    })();
    random = (random * 48271) % 2147483647; // a minimal standard generator: the same moments in each run
    await sleep(20 + random % 400);
    if (number > saved) inFlight++;
    await desk.kill();
    running = false;
    await edits;
    JSON.parse(fs.readFileSync(file, 'utf8')); // whole at each moment
  }
  const desk = await startDesk(t, file, {state});
  const held = Number(/^Title (\d+)/.exec((await desk.lesson()).title)[1]);
  assert.ok(held === saved || held === number);
  t.diagnostic(`20 kills, ${number} edits sent, ${inFlight} kills while an edit was under way`);
  assert.ok(saved > 20, 'edits were made');
});

test('undo and kept versions are there after the server was killed', async t => {
  const file = lessonFolder(t), state = temporaryFolder(t);
  const original = fs.readFileSync(file, 'utf8');
  let desk = await startDesk(t, file, {state});
  assert.equal((await desk.edit('First', title('First'))).status, 200);
  assert.equal((await desk.edit('Second', title('Second'))).status, 200);
  await desk.kill();
  desk = await startDesk(t, file, {state});
  let lesson = await desk.lesson();
  assert.deepEqual([lesson.title, lesson.undo, lesson.redo], ['Second', 'Second', '']);
  assert.equal((await desk.post('undo', {base: lesson.digest})).status, 200);
  lesson = await desk.lesson();
  assert.deepEqual([lesson.title, lesson.undo, lesson.redo], ['First', 'First', 'Second']);
  await desk.kill();
  desk = await startDesk(t, file, {state});
  lesson = await desk.lesson();
  assert.deepEqual([lesson.title, lesson.undo, lesson.redo], ['First', 'First', 'Second']);
  assert.equal((await desk.post('undo', {base: lesson.digest})).status, 200);
  assert.deepEqual(desk.cues(), JSON.parse(original), 'undone to the beginning it is the author\'s file');
  assert.equal((await desk.post('redo', {base: (await desk.lesson()).digest})).status, 200);
  assert.equal(desk.cues().title, 'First');
  const versions = await (await desk.get('versions')).json();
  const texts = await Promise.all(versions.map(async ({id}) => (await desk.get('version?id=' + encodeURIComponent(id))).text()));
  assert.ok(texts.some(text => text === original), 'the first version is kept');
  const {id} = versions[texts.indexOf(original)];
  assert.equal((await desk.post('restore', {base: (await desk.lesson()).digest, id})).status, 200);
  assert.equal(fs.readFileSync(file, 'utf8'), original, 'and comes back letter by letter');
});

test('an edit that was made for another state of the lesson is refused, and nothing is written', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  const {digest} = await desk.lesson();
  const one = await desk.post('edit', {base: digest, what: 'One page', edits: [title('One page')]});
  assert.equal(one.status, 200);
  const late = await desk.post('edit', {base: digest, what: 'The other', edits: [title('The other')]});
  assert.equal(late.status, 409);
  const told = await late.json();
  assert.equal(told.digest, (await one.json()).digest, 'which state it is now');
  assert.ok(told.what.length > 10);
  assert.equal(desk.cues().title, 'One page');
});

test('of twenty edits at the same moment one is made and all others are told', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  const {digest} = await desk.lesson();
  const answers = await Promise.all(Array.from({length: 20}, (_, n) => desk.post('edit', {base: digest, what: `Edit ${n}`, edits: [title(`Edit ${n}`)]})));
  const made = answers.map((answer, n) => answer.status === 200 ? n : -1).filter(n => n >= 0);
  assert.equal(made.length, 1);
  assert.equal(answers.filter(answer => answer.status === 409).length, 19);
  assert.equal(desk.cues().title, `Edit ${made[0]}`);
});

test('all edits of a request are made, or none', async t => {
  const desk = await startDesk(t, lessonFolder(t)), before = fs.readFileSync(desk.file, 'utf8');
  for (const bad of [{path: ['sections', 99, 'from'], value: '0:01'}, {path: ['sections', 'x'], value: 1}, {path: ['sections', -1], remove: true}, {path: [], value: 1},
                     {path: ['title']}, {path: ['title', 'x'], value: 1}, {path: 'title', value: 'x'}]) {
    const answer = await desk.edit('Half', title('Half'), bad);
    assert.ok([400, 422].includes(answer.status), `${JSON.stringify(bad)}: ${answer.status}`);
    assert.equal(fs.readFileSync(desk.file, 'utf8'), before);
  }
});

test('a file that another program has changed is taken over, and an edit that was on its way shows both versions', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  const {digest} = await desk.lesson();
  const theirs = JSON.stringify({...desk.cues(), title: 'Theirs', note: 'written by an editor'}, null, 1);
  fs.writeFileSync(desk.file, theirs);
  const answer = await desk.post('edit', {base: digest, what: 'Mine', edits: [title('Mine')]});
  assert.equal(answer.status, 409);
  const both = await answer.json();
  assert.equal(JSON.parse(both.mine).title, 'Mine');
  assert.equal(JSON.parse(both.theirs).title, 'Theirs');
  assert.equal(fs.readFileSync(desk.file, 'utf8'), theirs, 'nothing is overwritten');
  assert.equal((await desk.lesson()).title, 'Theirs');
  const settled = await desk.post('settle', {keep: 'mine', mine: both.mine, theirs: both.digest});
  assert.equal(settled.status, 200);
  assert.equal(desk.cues().title, 'Mine');
  const versions = await (await desk.get('versions')).json();
  const texts = await Promise.all(versions.map(async ({id}) => (await desk.get('version?id=' + encodeURIComponent(id))).text()));
  assert.ok(texts.includes(theirs), 'what was not kept is a version');
});

test('where the other version is kept, the own one stays as a version', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  const {digest} = await desk.lesson();
  fs.writeFileSync(desk.file, JSON.stringify({...desk.cues(), title: 'Theirs'}));
  const both = await (await desk.post('edit', {base: digest, what: 'Mine', edits: [title('Mine')]})).json();
  assert.equal((await desk.post('settle', {keep: 'theirs', mine: both.mine, theirs: both.digest})).status, 200);
  assert.equal(desk.cues().title, 'Theirs');
  const versions = await (await desk.get('versions')).json();
  const texts = await Promise.all(versions.map(async ({id}) => (await desk.get('version?id=' + encodeURIComponent(id))).text()));
  assert.ok(texts.some(text => JSON.parse(text).title === 'Mine'));
});

test('a file that is gone, or half saved by an editor, loses nothing: the lesson stays, and an edit asks', async t => {
  const desk = await startDesk(t, lessonFolder(t)), text = fs.readFileSync(desk.file, 'utf8');
  const edited = async () => {
    const answer = await desk.edit('Mine', title('Mine'));
    assert.equal(answer.status, 409);
    return answer.json();
  };
  fs.rmSync(desk.file);
  const gone = await edited();
  assert.equal(JSON.parse(gone.mine).title, 'Mine');
  assert.ok(!fs.existsSync(desk.file), 'not made again without a word');
  fs.writeFileSync(desk.file, '{ "tabard": 1, ');
  const half = await edited();
  assert.equal(half.theirs, '{ "tabard": 1, ');
  assert.equal((await desk.lesson()).title, 'Lantern on the Quay');
  fs.writeFileSync(desk.file, text);
  assert.equal((await desk.edit('Mine', title('Mine'))).status, 200);
  assert.equal(desk.cues().title, 'Mine');
  fs.rmSync(desk.file);
  const last = await (await desk.edit('Again', title('Again'))).json();
  assert.equal((await desk.post('settle', {keep: 'mine', mine: last.mine, theirs: last.digest})).status, 200);
  assert.equal(desk.cues().title, 'Again', 'the page\'s version is written where the file is gone');
});

test('what the author wrote beside the edit stays as it is: order, notes, unknown keys, numbers', async t => {
  const text = '{"tabard": 1, "zeta": 1.50, "title": "Old", "footage": "lantern.mp4",\n\t"note": "mine \\u00e9", "sections": [ {"name":"A","from":"0:00","to":"0:04.40","x":[1,2,  3]} ]}\n';
  const desk = await startDesk(t, lessonFolder(t, text));
  assert.equal((await desk.edit('Title', title('New'))).status, 200);
  const after = fs.readFileSync(desk.file, 'utf8');
  assert.deepEqual(Object.keys(JSON.parse(after)), ['tabard', 'zeta', 'title', 'footage', 'note', 'sections']);
  assert.deepEqual(JSON.parse(after), {...JSON.parse(text), title: 'New'});
  assert.match(after, /1\.50/, 'numbers as they were written');
});

test('Ctrl-C in the terminal ends the desk and says where the lesson is', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  assert.equal((await desk.edit('Title', title('New'))).status, 200);
  const {code, signal} = await desk.stop();
  assert.ok(code === 0 || code === 130 || signal === 'SIGINT', `${code} ${signal}`);
  assert.equal(desk.cues().title, 'New');
});
