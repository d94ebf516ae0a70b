// What an author writes is text: whatever it looks like, nothing of it runs, and the page stays whole.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {demoLesson, lessonFolder, startDesk} from './desk.mjs';
import {openBrowser, openPage} from './browser.mjs';
import {faultsOf, openTab, tabs} from './teacher.mjs';

const strange = ['<script>window.ran = 1</script>', '<img src=x onerror="window.ran = 1">', '"><svg onload=window.ran=1>', "'; window.ran = 1; '", '\u202Eesrev\u202C \u2066x\u2069 \u200F',
                 '${window.ran = 1}', '{{constructor.constructor("window.ran=1")()}}', 'javascript:window.ran=1', '&lt;b&gt;&amp;#x1F3B8;', 'a\u0000b\u0007c\u2028d', '\ud83c\udfb8'.repeat(300),
                 'x'.repeat(100_000), ' '.repeat(50), '..', '__proto__', 'constructor'];

function lessonOf(words) {
  const lesson = demoLesson();
  lesson.title = words[0];
  lesson.key = words[1 % words.length];
  lesson.sections.forEach((part, n) => { part.name = words[n % words.length]; });
  lesson.sections[6].show[0].text = words[2 % words.length];
  lesson.strums[words[3 % words.length] || 'x'] = {steps: 'D U D U'};
  lesson.shapes[words[0] || 'x'] = {frets: 'x32010'};
  lesson.sections[4].strum = words[3 % words.length];
  lesson.sections[2].bars = `Am | ${words[1 % words.length].slice(0, 200)} | C | Em`;
  lesson[words[0] || 'x'] = words[1 % words.length];
  return lesson;
}

test('names that look like programs run nothing and are shown as they were written', async t => {
  const browser = await openBrowser(t);
  for (let turn = 0; turn < 3; turn++) {
    const words = strange.slice(turn * 6, turn * 6 + 6);
    const desk = await startDesk(t, lessonFolder(t, lessonOf(words)));
    const page = await openPage(t, browser, desk, {width: 1024, height: 768});
    for (const name of await tabs(page)) {
      await openTab(page, name);
      assert.equal(await page.evaluate(() => window.ran), undefined, `${name} with ${words[0].slice(0, 40)}`);
    }
    assert.equal(await page.locator('script:not([src]), svg[onload], img[onerror]').count(), 0, 'no element came of a name');
    const findings = (await desk.lesson()).findings;
    t.diagnostic(`${findings.length} findings`);
    assert.deepEqual(faultsOf(page), []);
    await page.context().close();
    await desk.stop();
  }
});

test('files that are no lesson open with the reason and can be put right', async t => {
  const browser = await openBrowser(t);
  for (const text of ['', '{', '[]', 'null', '{"tabard": 99}', '\ufeff{"tabard":1}', '{"tabard":1,"sections":"none"}', '{"tabard":1,"sections":[null,7,[]]}', '\xff\xfe', '['.repeat(5000)]) {
    const file = lessonFolder(t, text);
    let desk;
    try { desk = await startDesk(t, file); } catch (failure) {
      assert.match(String(failure), /ended with 3/, text.slice(0, 20)); // input that cannot be read, said so
      assert.match(String(failure), /lantern\.json/);
      continue;
    }
    const page = await openPage(t, browser, desk);
    await page.waitForTimeout(300);
    const lesson = await desk.lesson();
    assert.ok(lesson.broken !== '' || lesson.findings.length > 0, `${text.slice(0, 20)}: something is said`);
    assert.ok((await page.locator('body').innerText()).trim().length > 20, 'the page is there');
    assert.deepEqual(faultsOf(page), [], text.slice(0, 20));
    await page.context().close();
    await desk.stop();
  }
});
