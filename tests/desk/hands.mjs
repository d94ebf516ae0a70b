// The same work done in two ways: by keys alone, and by mouse (and typing where there is something to type).
import {until} from './desk.mjs';
import {goTo, leaveFields} from './teacher.mjs';

const describe = locator => String(locator);

/** Keys alone: the focus is moved by Tab until it is there, so what cannot be reached by keys fails here. */
export class Keyboard {
  name = 'by keys alone';
  constructor(page) { this.page = page; }

  async focus(locator) {
    await locator.waitFor();
    const way = await locator.evaluate(wanted => {
      const at = document.activeElement;
      return at && at !== document.body && wanted.compareDocumentPosition(at) & Node.DOCUMENT_POSITION_FOLLOWING ? 'Shift+Tab' : 'Tab';
    });
    for (let n = 0; n < 250; n++) {
      if (await locator.evaluate(wanted => wanted === document.activeElement)) return;
      await this.page.keyboard.press(way);
    }
    throw new Error(`the key ${way} does not lead to ${describe(locator)}`);
  }

  async press(locator) {
    await this.focus(locator);
    await this.page.keyboard.press('Enter');
  }

  async write(locator, text) {
    await this.focus(locator);
    await this.page.keyboard.press('Control+a');
    if (text) await this.page.keyboard.type(text);
    else await this.page.keyboard.press('Delete');
    await this.page.keyboard.press('Tab');
  }

  /** Of a list of choices the one whose words begin so: as one types them. */
  async choose(locator, words) {
    await this.focus(locator);
    for (let n = 0; n < 60; n++) {
      if ((await locator.evaluate(list => list.selectedOptions[0]?.label ?? '')).startsWith(words)) return;
      await this.page.keyboard.press(n === 0 ? 'Home' : 'ArrowDown');
    }
    throw new Error(`no choice ${words}`);
  }

  async open(panel) {
    const wanted = this.page.getByRole('tab', {name: new RegExp(`^${panel}\\b`)});
    await this.focus(this.page.getByRole('tab', {selected: true}));
    for (let n = 0; n < 20 && await wanted.getAttribute('aria-selected') !== 'true'; n++) await this.page.keyboard.press('ArrowRight');
    return this.page.getByRole('tabpanel', {name: new RegExp(`^${panel}\\b`)});
  }

  async tick(locator) {
    await this.focus(locator);
    await this.page.keyboard.press('Space');
  }

  /** To a place in the film. */
  async seek(time) {
    await this.focus(this.page.getByRole('button', {name: 'Play', exact: true}));
    await goTo(this.page, time);
  }

  /** Taps when the film is there, in the page itself: no time is lost on the way. tap_test.mjs presses real keys. */
  tapAt(_, time) {
    return this.page.evaluate(time => new Promise(done => {
      const look = () => {
        if (document.querySelector('video').paused || window.filmTime() < time) return void requestAnimationFrame(look);
        for (const kind of ['keydown', 'keyup']) document.activeElement.dispatchEvent(new KeyboardEvent(kind, {key: 't', bubbles: true, cancelable: true}));
        done();
      };
      look();
    }), time);
  }
}

export class Mouse {
  name = 'by mouse';
  constructor(page) { this.page = page; }

  async press(locator) { await locator.click(); }

  async write(locator, text) {
    await locator.click();
    await locator.fill(text);
    await locator.blur();
  }

  async choose(locator, words) {
    const label = await locator.evaluate((list, words) => [...list.options].find(option => option.label.startsWith(words))?.label, words);
    await locator.selectOption({label});
  }

  async open(panel) {
    await this.page.getByRole('tab', {name: new RegExp(`^${panel}\\b`)}).click();
    return this.page.getByRole('tabpanel', {name: new RegExp(`^${panel}\\b`)});
  }

  async tick(locator) { await locator.click(); }

  /** Keys are a teacher's way here too. */
  async seek(time) {
    await leaveFields(this.page);
    await goTo(this.page, time);
  }

  tapAt(panel, time) {
    return panel.getByRole('button').filter({hasText: /then|the last one|all tapped/}).evaluate((pad, time) => new Promise(done => {
      const look = () => {
        if (document.querySelector('video').paused || window.filmTime() < time) return void requestAnimationFrame(look);
        pad.dispatchEvent(new PointerEvent('pointerdown', {bubbles: true, cancelable: true}));
        done();
      };
      look();
    }), time);
  }
}

/** Waits until `holds(lesson)`; gives the lesson. */
export async function untilLesson(desk, holds, what, seconds = 30) {
  let lesson;
  const held = async () => { lesson = await desk.lesson(); return holds(lesson) && lesson; };
  return until(held, what, seconds).catch(late => {
    throw new Error(`${late.message}: ${JSON.stringify({broken: lesson.broken, findings: lesson.findings.map(({severity, what}) => [severity, what]), parts: lesson.parts.map(({name, written, changes}) => ({name, written, changes}))})}`);
  });
}
