// The strip of time: what stands where in the film, to be seen, gone to and moved.
import { api } from "./api";
import { showFinding } from "./findings";
import { icon } from "./icons";
import { bind } from "./keys";
import { marksOf } from "./marks";
import type { Row, StripMark } from "./marks";
import { clock, el, refused } from "./page";
import type { Lesson, Mark, Page } from "./page";
import type { FilmPlayer } from "./player";
import { readAloud } from "./say";
import { drawStrip } from "./strip_drawing";

const border = 24; // free pixels before the film's start and behind its end
const mostScale = 600; // pixels a second
const rowNames: Record<Row, string> = { parts: "Parts", cues: "Pins and cues", findings: "Findings" };

export class Strip {
  readonly element: HTMLElement;
  private readonly canvas = el("canvas", { "aria-hidden": "true" });
  private readonly room = el("div", { class: "strip-room", role: "group", "aria-label": "Marks" });
  private readonly space = el("div", { class: "strip-space" });
  private readonly head = el("div", { class: "play-head", role: "slider", tabIndex: 0, "aria-label": "Play head" });
  private readonly flag = el("div", { class: "strip-flag", hidden: true, "aria-hidden": "true" });
  private readonly proposals = el("div", { class: "strip-proposals", "aria-hidden": "true" });
  private readonly untimed = el("div", { class: "untimed" });
  private readonly rows: Record<Row, HTMLElement>;
  private readonly buttons = new Map<string, HTMLButtonElement>();
  private marks = new Map<string, StripMark>();
  private order: StripMark[] = [];
  private scale = 0; // pixels a second; 0: not laid out yet
  private fitted = true; // the whole film is shown, also in another width
  private start = 0; // of what is shown, in seconds
  private end = 1;
  private sound: Uint8Array | null = null;
  private soundOf = "";
  private drawing = 0;
  private freeUntil = 0; // the user looks elsewhere: the strip does not follow the film
  private touched = false;
  private dragged: string | null = null;
  private readonly nudges = new Map<string, number>(); // frames that are still to be sent

  constructor(private readonly page: Page, private readonly player: FilmPlayer) {
    const row = (name: Row) => el("div", { class: `strip-row strip-${name}`, role: "group", "aria-label": rowNames[name] });
    this.rows = { parts: row("parts"), cues: row("cues"), findings: row("findings") };
    for (const each of Object.values(this.rows)) each.addEventListener("keydown", (event) => this.rowKey(event));
    this.space.append(this.canvas, this.proposals, ...Object.values(this.rows), this.head, this.flag);
    this.room.append(this.space);
    const zoom = (words: string, shown: string, pressed: () => void) =>
      el("button", { type: "button", title: words, "aria-label": /\w/.test(shown) ? null : words, onclick: pressed }, shown);
    const bar = el("div", { class: "strip-bar" },
      zoom("Show less time (+)", "+", () => this.zoom(1.6)), zoom("Show more time (-)", "\u2212", () => this.zoom(1 / 1.6)),
      zoom("Show the whole film (0)", "Whole film", () => this.fit()), zoom("Show the chosen part (Z)", "This part", () => this.fitPart()),
      this.untimed);
    const help = el("p", { id: "strip-help", class: "unseen" },
      "Up and down arrows go to other marks. Left and right arrows move this by one frame, with Shift by ten. Enter goes to it. Delete removes a pin or a cue.");
    this.element = el("section", { class: "strip", "aria-label": "Strip of time" }, bar, this.room, help);
    this.listen();
  }

  private listen(): void {
    const { page, player, room, head } = this;
    page.onLesson((lesson) => this.take(lesson));
    page.onPart(() => this.showPart());
    player.onFrame((time) => this.showTime(time));
    player.onState(() => this.sayTime());
    new ResizeObserver(() => this.resize()).observe(room);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.redraw());
    room.addEventListener("scroll", () => this.redraw());
    room.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    room.addEventListener("pointerdown", (event) => this.pressed(event));
    room.addEventListener("click", (event) => {
      if (this.touched && !(event.target as Element).closest(".on-strip")) void player.seek(player.snap(this.timeAt(event.clientX)));
      this.touched = false;
    });
    head.addEventListener("keydown", (event) => this.headKey(event));
    bind("+", "Show less time on the strip", () => this.zoom(1.6), { repeat: true });
    bind("=", "Show less time on the strip", () => this.zoom(1.6), { repeat: true });
    bind("-", "Show more time on the strip", () => this.zoom(1 / 1.6), { repeat: true });
    bind("0", "Show the whole film on the strip", () => this.fit());
    bind("z", "Show the chosen part on the strip", () => this.fitPart());
  }

  // --- what is on it

  private take(lesson: Lesson): void {
    this.start = Math.min(0, lesson.film.start);
    this.end = Math.max(this.start + 1, lesson.film.end, ...lesson.parts.map((part) => part.to ?? 0));
    const before = this.order;
    this.order = marksOf(lesson);
    this.marks = new Map(this.order.map((mark) => [mark.id, mark]));
    const focus = this.nextFocus(before);
    for (const [id, button] of this.buttons)
      if (!this.marks.has(id)) this.drop(id, button);
    for (const mark of this.order) this.place(mark);
    if (focus) this.buttons.get(focus)?.focus();
    for (const name of Object.keys(this.rows) as Row[]) this.rove(name);
    this.giveRoom(this.order.filter((mark) => mark.row === "cues"));
    const untimed = lesson.parts.filter((part) => part.from === null);
    this.untimed.replaceChildren(...(untimed.length ? ["No time yet:"] : []), ...untimed.map((part) =>
      el("button", { type: "button", onclick: () => {
        this.page.select(part.index);
        this.page.open("Part");
      } }, part.name)));
    this.head.setAttribute("aria-valuemin", String(this.start));
    this.head.setAttribute("aria-valuemax", String(this.end));
    this.showPart();
    this.resize();
    this.showTime(this.player.time);
    void this.readSound(lesson);
  }

  /** Where the focus goes from a mark that is no more: to the one that came after it in its row, else before it. */
  private nextFocus(before: StripMark[]): string | null {
    const at = before.findIndex(({ id }) => this.buttons.get(id) === document.activeElement);
    const mark = before[at];
    if (!mark || this.marks.has(mark.id)) return null;
    const left = (other: StripMark) => other.row === mark.row && this.marks.has(other.id);
    return (before.slice(at).find(left) ?? before.slice(0, at).reverse().find(left))?.id ?? null;
  }

  private drop(id: string, button: HTMLButtonElement): void {
    button.remove();
    this.buttons.delete(id);
  }

  private place(mark: StripMark): void {
    let button = this.buttons.get(mark.id);
    if (!button) {
      button = el("button", { type: "button", tabIndex: -1 });
      button.dataset["mark"] = mark.id;
      button.addEventListener("click", (event) => this.go(mark.id, event));
      button.addEventListener("focus", () => this.focused(mark.id));
      if (mark.kind === "part") button.addEventListener("dblclick", () => this.fitPart());
      this.buttons.set(mark.id, button);
    }
    const row = this.rows[mark.row];
    if (button.parentElement !== row) row.append(button);
    button.className = `on-strip is-${mark.kind}`;
    button.replaceChildren(...(mark.finding ? [icon(mark.kind)] : [el("span", {}, mark.label)]));
    if (mark.path || mark.removable) button.setAttribute("aria-describedby", "strip-help");
    if (this.dragged !== mark.id) this.stand(button, mark, mark.time);
  }

  private stand(button: HTMLElement, mark: StripMark, time: number): void {
    button.style.setProperty("--t", String(time - this.start));
    button.style.setProperty("--long", String(Math.abs((mark.to ?? mark.time) - mark.time)));
    const words = `${mark.name}, ${clock(time)}`;
    button.setAttribute("aria-label", words);
    button.title = words;
  }

  /** How far the name of a mark may reach: to the next one. */
  private giveRoom(row: StripMark[]): void {
    row.filter((mark) => mark.kind !== "until").forEach((mark, i, row) => {
      const room = (row[i + 1]?.time ?? this.end) - mark.time;
      this.buttons.get(mark.id)?.style.setProperty("--room", String(room));
    });
  }

  private showPart(): void {
    for (const [id, button] of this.buttons) {
      const mark = this.marks.get(id);
      if (mark?.kind === "part") button.setAttribute("aria-pressed", String(mark.part === this.page.part));
      button.classList.toggle("chosen", mark !== undefined && mark.part === this.page.part);
    }
  }

  propose(marks: Mark[]): void {
    const sorted = [...marks].sort((a, b) => a.from - b.from);
    const lower: boolean[] = []; // under another that begins with it
    sorted.forEach(({ from }, i) => lower.push(i > 0 && !lower[i - 1] && from - sorted[i - 1]!.from < 0.01));
    this.proposals.replaceChildren(...sorted.map((mark, i) => {
      const next = sorted.find((_, j) => j > i && lower[j] === lower[i]);
      const kind = `${mark.to > mark.from ? "" : " instant"}${lower[i] ? " lower" : ""}`;
      const shown = el("div", { class: `proposal${kind}`, title: mark.words }, el("span", {}, mark.words));
      shown.style.setProperty("--t", String(mark.from - this.start));
      shown.style.setProperty("--long", String(mark.to - mark.from));
      shown.style.setProperty("--room", String(next ? next.from - mark.from : 3600));
      return shown;
    }));
  }

  private async readSound(lesson: Lesson): Promise<void> {
    const of = `${lesson.film.name} ${lesson.film.start} ${lesson.film.end} ${lesson.film.sound}`;
    if (of === this.soundOf || lesson.film.state === "missing") return;
    this.soundOf = of;
    this.sound = null;
    for (let wait = 200; this.soundOf === of && lesson.film.sound; wait = Math.min(2 * wait, 3000)) {
      const answer = await api.bytes("waveform");
      if (refused(answer) ? answer.status !== 0 : answer.status === 204) return;
      if (!refused(answer) && answer.status === 200) {
        const bytes = new Uint8Array(await answer.arrayBuffer().catch(() => new ArrayBuffer(0)));
        if (this.soundOf === of) this.sound = bytes;
        return this.redraw();
      }
      await new Promise((goOn) => setTimeout(goOn, wait));
    }
  }

  // --- how it is shown

  private get wholeScale(): number { return Math.max(0.01, (this.room.clientWidth - 2 * border) / (this.end - this.start)); }

  private xOf(time: number): number { return border + (time - this.start) * this.scale; }

  private timeAt(clientX: number): number {
    const x = clientX - this.room.getBoundingClientRect().left + this.room.scrollLeft;
    return Math.max(this.start, Math.min(this.end, this.start + (x - border) / this.scale));
  }

  private resize(): void {
    if (!this.room.clientWidth) return;
    this.setScale(this.fitted ? this.wholeScale : Math.max(this.scale, this.wholeScale));
  }

  private setScale(scale: number): void {
    this.scale = scale;
    this.space.style.setProperty("--scale", String(scale));
    this.space.style.width = `${Math.max(this.room.clientWidth, Math.floor(2 * border + (this.end - this.start) * scale))}px`;
    this.redraw();
  }

  /** Keeps the time that is under `clientX`, else the play head, where it is. */
  private zoom(times: number, clientX?: number): void {
    const whole = this.wholeScale;
    const scale = Math.max(whole, Math.min(Math.max(mostScale, whole), this.scale * times));
    const room = this.room.getBoundingClientRect();
    const shown = this.xOf(this.player.time) - this.room.scrollLeft;
    const inside = shown >= 0 && shown <= room.width;
    const x = clientX !== undefined ? clientX - room.left : inside ? shown : room.width / 2;
    const time = this.start + (x + this.room.scrollLeft - border) / this.scale;
    this.fitted = scale <= whole * 1.0001;
    this.setScale(scale);
    this.room.scrollLeft = this.xOf(time) - x;
  }

  private fit(): void {
    this.fitted = true;
    this.resize();
  }

  private fitPart(): void {
    const part = this.page.part === null ? undefined : this.page.lesson.parts[this.page.part];
    if (!part || part.from === null || part.to === null) return this.page.say("Choose a part that has a time first.");
    this.fitted = false;
    const room = this.room.clientWidth;
    this.setScale(Math.max(this.wholeScale, Math.min(mostScale, (0.84 * room) / Math.max(0.5, part.to - part.from))));
    this.room.scrollLeft = this.xOf((part.from + part.to) / 2) - room / 2;
  }

  private redraw(): void {
    if (this.drawing) return;
    this.drawing = requestAnimationFrame(() => {
      this.drawing = 0;
      const inside = (name: string) => parseFloat(getComputedStyle(this.space).getPropertyValue(name)) || 0;
      const top = (row: string) => inside(`--${row}`);
      drawStrip(this.canvas, { left: this.start + (this.room.scrollLeft - border) / this.scale, scale: this.scale,
                                width: this.room.clientWidth, height: this.space.clientHeight },
                 { ruler: top("ruler"), chords: top("chords-top"), chordsHeight: top("chords"), sound: top("sound-top"), soundHeight: top("sound") },
                 this.page.lesson, this.sound);
    });
  }

  private showTime(time: number): void {
    this.head.style.setProperty("--t", String(time - this.start));
    if (!this.player.playing) this.sayTime();
    if (this.dragged !== null || performance.now() < this.freeUntil || !this.scale) return;
    const x = this.xOf(time) - this.room.scrollLeft;
    const width = this.room.clientWidth;
    if (x < 0 || x > width - 30) this.room.scrollLeft = this.xOf(time) - width * (this.player.playing ? 0.15 : 0.5);
  }

  private sayTime(): void {
    const time = this.player.time;
    const part = this.page.lesson.parts.find((each) => each.from !== null && time >= each.from - 0.0005 && time < (each.to ?? 0));
    this.head.setAttribute("aria-valuenow", time.toFixed(3));
    this.head.setAttribute("aria-valuetext", part ? `${clock(time)}, ${part.name}` : clock(time));
  }

  // --- going and moving

  private go(id: string, event: MouseEvent): void {
    const mark = this.marks.get(id);
    if (!mark) return;
    if (mark.finding) return showFinding(this.page, mark.finding);
    this.page.select(mark.part);
    const clicked = mark.kind === "part" && event.detail > 0;
    void this.player.seek(clicked ? this.timeAt(event.clientX) : mark.time);
  }

  private wheel(event: WheelEvent): void {
    if (event.ctrlKey) {
      event.preventDefault();
      this.zoom(Math.exp(-event.deltaY / 200), event.clientX);
    } else if (!event.shiftKey && Math.abs(event.deltaY) > Math.abs(event.deltaX) && !this.fitted && matchMedia("(min-width: 900px)").matches) {
      event.preventDefault(); // the page itself does not scroll here
      this.room.scrollLeft += event.deltaY;
    }
    this.freeUntil = performance.now() + 4000;
  }

  /** On a mark that can be moved: drags it. On free ground: goes there, and scrubs with a mouse. */
  private pressed(event: PointerEvent): void {
    if (event.button !== 0) return;
    const target = event.target as Element;
    const mark = this.marks.get(target.closest<HTMLElement>(".on-strip")?.dataset["mark"] ?? "");
    if (mark) {
      if (mark.path) this.drag(mark, event);
      return;
    }
    if (!this.space.contains(target)) return; // the scroll bar
    if (event.clientY > this.space.getBoundingClientRect().bottom) return;
    const go = (to: PointerEvent) => void this.player.seek(this.player.snap(this.timeAt(to.clientX)));
    this.touched = event.pointerType === "touch"; // a finger may be about to scroll: only its click goes there
    if (this.touched) return;
    event.preventDefault();
    this.head.focus({ preventScroll: true });
    this.follow(go, () => undefined);
    go(event);
  }

  private follow(moved: (to: PointerEvent) => void, ended: (kept: boolean) => void): void {
    const key = (pressed: KeyboardEvent) => {
      if (pressed.key !== "Escape") return;
      pressed.preventDefault();
      pressed.stopPropagation();
      end(false);
    };
    const up = () => end(true);
    const cancel = () => end(false);
    const end = (kept: boolean) => {
      removeEventListener("pointermove", moved);
      removeEventListener("pointerup", up);
      removeEventListener("pointercancel", cancel);
      removeEventListener("keydown", key, true);
      ended(kept);
    };
    addEventListener("pointermove", moved);
    addEventListener("pointerup", up);
    addEventListener("pointercancel", cancel);
    addEventListener("keydown", key, true);
  }

  /** The film shows the frame under the dragged mark; the file changes when it is let go. */
  private drag(mark: StripMark, event: PointerEvent): void {
    const button = this.buttons.get(mark.id)!;
    const from = event.clientX;
    const grip = from - this.room.getBoundingClientRect().left + this.room.scrollLeft - this.xOf(mark.time);
    let time: number | null = null;
    const moved = (to: PointerEvent) => {
      if (time === null && Math.abs(to.clientX - from) < 4) return;
      if (time === null) {
        this.player.pause();
        this.dragged = mark.id;
        button.classList.add("dragged");
      }
      time = this.player.snap(this.timeAt(to.clientX - grip));
      this.stand(button, mark, time);
      this.flag.hidden = false;
      this.flag.textContent = clock(time);
      this.flag.style.setProperty("--t", String(time - this.start));
      void this.player.seek(time);
    };
    this.follow(moved, (kept) => {
      const movedTo = time;
      this.flag.hidden = true;
      button.classList.remove("dragged");
      const back = () => {
        this.dragged = null;
        const now = this.marks.get(mark.id);
        if (now) this.stand(button, now, now.time);
      };
      if (movedTo === null) return; // pressed, not dragged: a click follows
      const swallow = (click: Event) => click.stopPropagation(); // the click that may follow is the drag's
      addEventListener("click", swallow, { capture: true, once: true });
      setTimeout(() => removeEventListener("click", swallow, true), 0);
      if (kept) void this.page.change("move", { path: mark.path, time: movedTo }).then(back);
      else back();
      button.focus({ preventScroll: true });
    });
  }

  private headKey(event: KeyboardEvent): void {
    const frames = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[event.key];
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (frames) void this.player.step(event.shiftKey ? 10 * frames : frames);
    else if (event.key === "PageUp" || event.key === "PageDown") void this.player.seek(this.player.time + (event.key === "PageUp" ? 5 : -5));
    else if (event.key === "Home" || event.key === "End") void this.player.seek(event.key === "Home" ? this.start : this.end);
    else return;
    event.preventDefault();
  }

  private rowKey(event: KeyboardEvent): void {
    const button = event.target as HTMLElement;
    const mark = this.marks.get(button.dataset["mark"] ?? "");
    if (!mark || event.ctrlKey || event.altKey || event.metaKey) return;
    const row = this.order.filter((other) => other.row === mark.row);
    const at = row.indexOf(mark);
    const to = { ArrowUp: at - 1, ArrowDown: at + 1, Home: 0, End: row.length - 1 }[event.key];
    const frames = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (to !== undefined) this.buttons.get(row[Math.max(0, Math.min(row.length - 1, to))]!.id)?.focus();
    else if (frames && mark.path) void this.nudge(mark.id, event.shiftKey ? 10 * frames : frames);
    else if (event.key === "Delete" && mark.removable) void this.page.edit(`Remove ${mark.name}`, [{ path: mark.removable, remove: true }]);
    else if (!frames) return;
    event.preventDefault();
  }

  /** Keys that are held come faster than changes are saved: what came meanwhile is sent as one. */
  private async nudge(id: string, frames: number): Promise<void> {
    const waiting = this.nudges.get(id);
    this.nudges.set(id, (waiting ?? 0) + frames);
    if (waiting !== undefined) return;
    for (let sum = this.nudges.get(id); sum; sum = this.nudges.get(id)) {
      this.nudges.set(id, 0);
      const path = this.marks.get(id)?.path;
      if (!path || !(await this.page.change("move", { path, frames: sum }))) break;
      const now = this.marks.get(id);
      if (!now) break;
      readAloud(`${now.name}, ${clock(now.time)}`);
      void this.player.seek(now.time);
    }
    this.nudges.delete(id);
  }

  private focused(id: string): void {
    const mark = this.marks.get(id);
    if (!mark) return;
    this.rove(mark.row, id);
    const x = this.xOf(mark.time) - this.room.scrollLeft;
    if (x < border || x > this.room.clientWidth - border) this.room.scrollLeft = this.xOf(mark.time) - this.room.clientWidth / 2;
    this.freeUntil = performance.now() + 2000;
  }

  /** One mark of a row can be reached by Tab: the one that had the focus last. */
  private rove(name: Row, id?: string): void {
    const row = this.order.filter((mark) => mark.row === name);
    const buttons = row.map((mark) => this.buttons.get(mark.id)!);
    const before = buttons.findIndex((button) => button.tabIndex === 0);
    const at = id === undefined ? Math.max(0, before) : row.findIndex((mark) => mark.id === id);
    buttons.forEach((button, i) => { button.tabIndex = i === at ? 0 : -1; });
  }
}
