// Nobody but the teacher's own page gets anything: other programs, other pages of the same browser, other names of this machine.
import assert from 'node:assert/strict';
import fs from 'node:fs';
import http from 'node:http';
import net from 'node:net';
import {test} from 'node:test';
import {atEnd, lessonFolder, startDesk, until} from './desk.mjs';
import {openBrowser} from './browser.mjs';
import {request, send} from './raw.mjs';

const own = desk => `Host: 127.0.0.1:${desk.port}`;
/** A refusal tells nothing: neither the token nor a name of the lesson. */
function refused(answer, desk, what) {
  assert.equal(answer.status, 403, `${what}: ${answer.head}`);
  assert.ok(!(answer.head + answer.body).includes(desk.token), what);
  assert.ok(!/lantern|quay/i.test(answer.head + answer.body), what);
}
const edit = digest => JSON.stringify({base: digest, what: 'Steal', edits: [{path: ['title'], value: 'Stolen'}]});

test('who does not know the token gets nothing', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  const wrong = [...desk.token].reverse().join('');
  const flipped = (desk.token[0] === '0' ? '1' : '0') + desk.token.slice(1);
  for (const path of ['/', '', '//', '/lesson', '/film', `/${wrong}/`, `/${flipped}/lesson`, `/${desk.token.slice(0, -1)}/lesson`, `/${desk.token}0/lesson`,
                      `/${desk.token.toUpperCase()}x/lesson`, `/x/../lesson`, '/lantern.json', '/../../etc/passwd', '/%2e%2e/%2e%2e/etc/passwd', `/lesson?token=${wrong}`])
    refused(await request(desk, `GET ${path || '/'}`, [own(desk)]), desk, path);
  assert.match(desk.token, /^[0-9a-f]{32}$/, '128 bits');
  assert.equal((await request(desk, `GET /${desk.token}/lesson`, [own(desk)])).status, 200, 'the teacher');
});

test('a name of this machine that is not its own gets nothing, even with the token', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  for (const host of ['evil.example', `evil.example:${desk.port}`, `127.0.0.1.evil.example:${desk.port}`, `127.0.0.1:${desk.port}.evil.example`, '127.0.0.1:1', '127.0.0.1',
                      `127.0.0.1:${desk.port}0`, `127.0.0.1@evil.example:${desk.port}`, `0.0.0.0:${desk.port}`, `[::]:${desk.port}`, `evil.example, 127.0.0.1:${desk.port}`, ''])
    refused(await request(desk, `GET /${desk.token}/lesson`, [`Host: ${host}`]), desk, `Host: ${host}`);
  const none = await request(desk, `GET /${desk.token}/lesson`, []);
  assert.ok([400, 403].includes(none.status), `no Host at all: ${none.status}`);
  const two = await request(desk, `GET /${desk.token}/lesson`, ['Host: evil.example', own(desk)]);
  assert.ok([400, 403].includes(two.status), `two Hosts: ${two.status}`);
  const other = await request(desk, `GET /${desk.token}/lesson`, [own(desk), 'Host: evil.example']);
  assert.ok([400, 403].includes(other.status), `two Hosts: ${other.status}`);
  const old = await send(desk.port, `GET /${desk.token}/lesson HTTP/1.0\r\n\r\n`);
  assert.ok([400, 403].includes(old.status), `HTTP/1.0: ${old.status}`);
});

test('what comes from another page is refused, reading and writing', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  const before = fs.readFileSync(desk.file, 'utf8'), {digest} = await desk.lesson();
  for (const origin of ['http://evil.example', 'null', `http://127.0.0.1:${desk.port + 1}`, `https://127.0.0.1:${desk.port}`, `http://127.0.0.1:${desk.port}.evil.example`,
                        'http://localhost', 'file://']) {
    refused(await request(desk, `GET /${desk.token}/lesson`, [own(desk), `Origin: ${origin}`]), desk, `GET from ${origin}`);
    refused(await request(desk, `POST /${desk.token}/edit`, [own(desk), `Origin: ${origin}`, `Tabard-Token: ${desk.token}`, 'Content-Type: application/json'], edit(digest)),
            desk, `POST from ${origin}`);
  }
  for (const headers of [[], ['Tabard-Token: '], [`Tabard-Token: ${'0'.repeat(32)}`], [`Tabard-Token: ${desk.token}0`], [`Cookie: Tabard-Token=${desk.token}`]])
    refused(await request(desk, `POST /${desk.token}/edit`, [own(desk), 'Content-Type: application/json', ...headers], edit(digest)), desk, `POST with ${headers}`);
  for (const type of ['Content-Type: text/plain', 'Content-Type: application/x-www-form-urlencoded', 'Content-Type: multipart/form-data; boundary=x']) {
    const answer = await request(desk, `POST /${desk.token}/edit`, [own(desk), type], edit(digest));
    assert.equal(answer.status, 403, type);
  }
  for (const method of ['OPTIONS', 'PUT', 'DELETE', 'PATCH', 'TRACE', 'CONNECT']) {
    const answer = await request(desk, `${method} /${desk.token}/edit`, [own(desk), 'Origin: http://evil.example', 'Access-Control-Request-Method: POST',
                                                                        'Access-Control-Request-Headers: tabard-token'], edit(digest));
    assert.ok(answer.status === 0 || answer.status >= 400, `${method}: ${answer.head}`);
    assert.doesNotMatch(answer.head, /access-control-allow/i, method);
  }
  assert.equal(fs.readFileSync(desk.file, 'utf8'), before, 'nothing was written');
  assert.equal((await request(desk, `POST /${desk.token}/edit`, [own(desk), `Origin: ${desk.origin}`, `Tabard-Token: ${desk.token}`, 'Content-Type: application/json'],
                              edit(digest))).status, 200, 'the teacher');
});

test('only what lies beside the lesson can be opened', async t => {
  const file = lessonFolder(t), desk = await startDesk(t, file);
  const secret = lessonFolder(t);
  for (const name of [secret, '../' + secret.split('/').slice(-2).join('/'), '/etc/passwd', '../../../../etc/passwd', './lantern.json/..', 'none.json', '', '.', '..', 'lantern.json\0.txt']) {
    const opened = await desk.post('open', {name});
    assert.ok(opened.status >= 400 && opened.status < 500, `open ${JSON.stringify(name)}: ${opened.status}`);
    const cut = await desk.post('cut', {name});
    assert.ok(cut.status >= 400 && cut.status < 500, `cut ${JSON.stringify(name)}: ${cut.status}`);
    for (const where of ['made?id=1&name=', 'version?id=', 'layer/x', 'made?name=a&id=']) {
      if (where === 'version?id=' && name === '') continue; // without a version: the lesson as it is
      const got = await desk.get(where + encodeURIComponent(name));
      assert.ok(got.status >= 400 && got.status < 500, `${where}${JSON.stringify(name)}: ${got.status}`);
    }
  }
  for (const name of ['../outside.mp4', '/tmp/outside.mp4', 'a/b.mp4', '..'] /* '' is the usual name */) {
    const run = await desk.post('runs', {kind: 'render', name, draft: true});
    assert.ok(run.status >= 400 && run.status < 500, `render to ${JSON.stringify(name)}: ${run.status}`);
  }
  assert.equal((await desk.lesson()).name, 'lantern.json');
});

test('the desk is heard on this machine alone', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  const hex = desk.port.toString(16).toUpperCase().padStart(4, '0');
  const places = ['tcp', 'tcp6'].flatMap(table => fs.readFileSync(`/proc/net/${table}`, 'utf8').split('\n').slice(1))
    .map(line => line.trim().split(/\s+/)).filter(row => row[3] === '0A').map(row => row[1]).filter(place => place.endsWith(':' + hex)); // 0A: listening, proc(5)
  assert.ok(places.length > 0);
  for (const place of places) // 127.0.0.1 and ::1 as the table writes them
    assert.ok(['0100007F', '00000000000000000000000001000000'].includes(place.split(':')[0]), place);
});

test('who says nothing, too much or never ends keeps nobody waiting', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  const idle = Array.from({length: 24}, () => net.connect(desk.port, '127.0.0.1').on('error', () => {}));
  atEnd(t, () => idle.forEach(socket => socket.destroy()));
  idle.slice(12).forEach(socket => socket.write('POST /' + desk.token + '/edit HTTP/1.1\r\nContent-Length: 99\r\n'));
  await until(async () => (await desk.get('lesson')).status === 200, 'an answer beside 24 silent connections', 60);
  const before = desk.mostMemory();
  const large = await send(desk.port, `POST /${desk.token}/edit HTTP/1.1\r\n${own(desk)}\r\nTabard-Token: ${desk.token}\r\nContent-Length: 4000000000\r\n\r\n{`, {patience: 3000});
  assert.ok(large.status === 0 || large.status >= 400, large.head);
  for (const rubbish of ['\r\n\r\n', 'GET\r\n\r\n', 'GET / HTTP/9.9\r\n\r\n', 'A'.repeat(100_000), '\0\0\0\0\r\n\r\n', `GET /${'a'.repeat(20_000)} HTTP/1.1\r\n\r\n`,
                         `GET /${desk.token}/film HTTP/1.1\r\n${own(desk)}\r\nRange: bytes=9-1,-,a-b,0-0,0-99999999999999999999\r\n\r\n`]) {
    const answer = await send(desk.port, rubbish, {patience: 1000});
    assert.notEqual(answer.status, 200, rubbish.slice(0, 40));
  }
  for (const body of ['', '{', '[]', '1', 'null', '"x"', '{"base":1}', '{"base":"x","edits":7}', '[' .repeat(100_000), '{"base":"\\ud800"}']) {
    const answer = await fetch(desk.url + 'edit', {method: 'POST', headers: {'Tabard-Token': desk.token, 'Content-Type': 'application/json'}, body});
    assert.ok(answer.status >= 400 && answer.status < 500, `${body.slice(0, 20)}: ${answer.status}`);
  }
  assert.equal((await desk.lesson()).title, 'Lantern on the Quay');
  assert.ok(desk.mostMemory() < before + 1000, 'a length that was only said takes no memory');
});

/** A page of somebody else on this machine, which tries what pages can. */
const hostilePage = (desk, guess, digest) => `<!doctype html><title>Free strings</title><body><script>
const tried = {}, at = ${JSON.stringify(`${desk.origin}/${guess}/`)};
const note = (what, got) => { tried[what] = String(got); };
const wait = (what, start) => new Promise(done => { setTimeout(() => { note(what, tried[what] ?? 'nothing'); done(); }, 4000); start(got => { note(what, got); done(); }); });
const body = ${JSON.stringify(edit(digest))};
const fetched = (what, where, options) => fetch(at + where, options).then(a => a.text().then(text => note(what, a.type === 'opaque' ? 'opaque ' + text : 'read ' + text)), () => note(what, 'blocked')).catch(() => note(what, 'blocked'));
window.all = Promise.all([
  fetched('fetch', 'lesson'), fetched('fetch without cors', 'lesson', {mode: 'no-cors'}), fetched('with credentials', 'lesson', {credentials: 'include'}),
  fetched('post', 'edit', {method: 'POST', body}), fetched('post without cors', 'edit', {method: 'POST', mode: 'no-cors', body}),
  fetched('post with token', 'edit', {method: 'POST', body, headers: {'Tabard-Token': ${JSON.stringify(guess)}, 'Content-Type': 'application/json'}}),
  fetched('put', 'edit', {method: 'PUT', body}),
  wait('image', done => { const e = new Image(); e.onload = () => done('seen ' + e.width); e.onerror = () => done('blocked'); e.src = at + 'still?time=1'; }),
  wait('video', done => { const e = document.createElement('video'); e.onloadedmetadata = () => done('seen ' + e.duration); e.onerror = () => done('blocked'); e.src = at + 'film'; }),
  wait('script', done => { const e = document.createElement('script'); e.onload = () => done('seen'); e.onerror = () => done('blocked'); e.src = at + 'desk.js'; document.body.append(e); }),
  wait('style', done => { const e = document.createElement('link'); e.rel = 'stylesheet'; e.onload = () => done('seen'); e.onerror = () => done('blocked'); e.href = at + 'desk.css'; document.body.append(e); }),
  wait('events', done => { const e = new EventSource(at + 'events'); e.onopen = () => done('seen'); e.onerror = () => { e.close(); done('blocked'); }; }),
  wait('socket', done => { const e = new WebSocket(at.replace('http', 'ws') + 'events'); e.onopen = () => done('seen'); e.onerror = () => done('blocked'); }),
  wait('beacon', done => { navigator.sendBeacon(at + 'edit', body); navigator.sendBeacon(at + 'undo', '{}'); done('blocked'); }),
  wait('form', done => { const f = document.createElement('iframe'); f.name = 'f'; document.body.append(f);
    const e = document.createElement('form'); e.target = 'f'; e.method = 'post'; e.enctype = 'text/plain'; e.action = at + 'edit';
    const i = document.createElement('input'); i.name = body.slice(0, -1) + ',"x":"'; i.value = '"}'; e.append(i); document.body.append(e); e.submit(); setTimeout(() => done('blocked'), 1500); }),
  wait('frame', done => { const f = document.createElement('iframe'); f.onload = () => { try { done('seen ' + f.contentDocument.title.length); } catch { done('blocked'); } }; f.src = at; document.body.append(f); }),
]).then(() => tried);
</script>`;

test('a hostile page in another tab gets nothing and writes nothing', async t => {
  const desk = await startDesk(t, lessonFolder(t)), browser = await openBrowser(t);
  const before = fs.readFileSync(desk.file, 'utf8'), {digest} = await desk.lesson();
  const context = await browser.newContext();
  atEnd(t, () => context.close());
  await (await context.newPage()).goto(desk.url); // the teacher's own tab, in the same browser
  for (const guess of ['0'.repeat(32), '', desk.token]) {
    const server = http.createServer((_, answer) => answer.writeHead(200, {'Content-Type': 'text/html'}).end(hostilePage(desk, guess, digest)));
    await new Promise(done => server.listen(0, '127.0.0.1', done));
    atEnd(t, () => server.close());
    const page = await context.newPage();
    await page.goto(`http://127.0.0.1:${server.address().port}/`);
    const tried = await page.evaluate(() => window.all);
    assert.equal(Object.keys(tried).length, 16);
    for (const [what, got] of Object.entries(tried)) {
      assert.doesNotMatch(got, /^read|Lantern|sections/, `${what} reads`);
      assert.doesNotMatch(got, /^seen/, `${what} shows`); // not even where the token has leaked
    }
    await page.close();
  }
  assert.equal(fs.readFileSync(desk.file, 'utf8'), before, 'nothing was written');
  assert.equal((await desk.lesson()).undo, '', 'nor changed');
});

test('another name for this machine, given by somebody else, opens no desk', async t => {
  const desk = await startDesk(t, lessonFolder(t));
  const browser = await openBrowser(t, ['--host-resolver-rules=MAP rebound.example 127.0.0.1']);
  const page = await browser.newPage();
  const answer = await page.goto(`http://rebound.example:${desk.port}/${desk.token}/`);
  assert.equal(answer.status(), 403);
  assert.equal((await page.goto(desk.url)).status(), 200, 'its own name does');
});

test('what the page may do is said to the browser', async t => {
  const desk = await startDesk(t, lessonFolder(t)), {headers} = await desk.get('');
  const policy = headers.get('content-security-policy') ?? '';
  assert.match(policy, /default-src '(none|self)'/);
  assert.doesNotMatch(policy, /unsafe-eval|\*|https?:/);
  assert.doesNotMatch(/script-src[^;]*/.exec(policy)?.[0] ?? '', /unsafe-inline/);
  assert.match(policy, /frame-ancestors 'none'/);
  assert.equal(headers.get('x-content-type-options'), 'nosniff');
  assert.equal(headers.get('referrer-policy'), 'no-referrer');
  for (const where of ['', 'lesson', 'desk.js']) {
    const answer = await desk.get(where);
    assert.equal(answer.headers.get('access-control-allow-origin'), null, where);
    assert.match(answer.headers.get('cache-control') ?? '', /no-store|no-cache|private/, where);
  }
});
