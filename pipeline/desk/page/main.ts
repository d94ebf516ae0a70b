// The page: its places, and what its panels see of it.
import { api } from "./api";
import { settle, showKeys, showVersions } from "./dialogs";
import { FilmView } from "./film";
import { findings_panel } from "./findings";
import { icon } from "./icons";
import { bind, listenToKeys } from "./keys";
import { el } from "./page";
import type { Page, Panel } from "./page";
import { panels } from "./panels";
import { partChoice } from "./part_choice";
import { FilmPlayer } from "./player";
import { readAloud, said, say } from "./say";
import { store } from "./store";
import { Strip } from "./strip";
import { Tabs } from "./tabs";
import { partAt, transport } from "./transport";

const player = new FilmPlayer();
const tabs = new Tabs();
let strip: Strip | undefined;

const page: Page = {
  api,
  player,
  get lesson() { return store.lesson; },
  get part() { return store.part; },
  select: (part) => store.select(part),
  onLesson: (told) => store.onLesson(told),
  onPart: (told) => store.onPart(told),
  onRun: (told) => store.onRun(told),
  edit: (what, edits) => store.edit(what, edits),
  change: (path, body) => store.change(path, body),
  say,
  open: (panel) => tabs.open(panel),
  propose: (marks) => strip?.propose(marks),
  key: (key, words, pressed, released) => bind(key, words, pressed, { released }),
};

function header(): HTMLElement {
  const title = el("h1", {});
  const name = el("span", { class: "quiet file" });
  const saved = el("span", { class: "saved", role: "status" });
  const step = (way: "undo" | "redo", words: string) => {
    const press = () => {
      if (store.lesson[way]) void store.change(way, {});
      else say(way === "undo" ? "Nothing to undo." : "Nothing to do again.");
    };
    const button = el("button", { type: "button", class: "tool", onclick: press }, icon(way));
    store.onLesson((lesson) => {
      // Not disabled: a button that is pressed to its end must not lose the focus.
      button.setAttribute("aria-disabled", String(!lesson[way]));
      button.title = lesson[way] ? `${words}: ${lesson[way]}` : `${words} (nothing)`;
      button.setAttribute("aria-label", button.title);
    });
    return { button, press };
  };
  const undo = step("undo", "Undo");
  const redo = step("redo", "Do again");
  bind("Ctrl+z", "Undo", undo.press);
  bind("Ctrl+Shift+z", "Do again", redo.press);
  bind("Ctrl+y", "Do again", redo.press);
  store.onLesson((lesson) => {
    title.textContent = lesson.title || lesson.name;
    name.textContent = lesson.title ? lesson.name : "";
    document.title = `${lesson.title || lesson.name} \u2013 Tabard`;
  });
  store.onState(() => {
    const words = store.lost ? "Not connected" : store.saving ? "Saving" : store.unsettled ? "Not saved" : "Saved";
    if (saved.textContent !== words) saved.textContent = words;
    saved.classList.toggle("off", store.lost || store.unsettled);
  });
  bind("?", "These keys", () => void showKeys());
  return el("header", {}, title, name, saved, el("span", { class: "gap" }), undo.button, redo.button,
            el("button", { type: "button", onclick: () => void showVersions() }, "Versions"),
            el("button", { type: "button", onclick: () => void showKeys() }, "Keys"));
}

/** A name as one word of a command line. */
function shellWord(name: string): string {
  return /^[\w.+,@%/:][\w.+,@%/:-]*$/.test(name) ? name : `'${name.replaceAll("'", "'\\''")}'`;
}

function lostBanner(): HTMLElement {
  const banner = el("div", { class: "lost", role: "alert", hidden: true });
  store.onState(() => {
    if (banner.hidden !== store.lost) return;
    banner.hidden = !store.lost;
    banner.replaceChildren();
    if (store.lost) banner.append("The desk is not running. What was saved is kept. Start it again with: ",
                                  el("code", {}, `tabard desk ${shellWord(store.lesson?.name ?? "")}`), " It opens a new page.");
  });
  return banner;
}

function followParts(): void {
  const go = (way: 1 | -1) => () => {
    const count = store.lesson.parts.length;
    if (!count) return say("This lesson has no parts yet.");
    const to = store.part === null ? (way > 0 ? 0 : count - 1) : Math.max(0, Math.min(count - 1, store.part + way));
    store.select(to);
    const part = store.lesson.parts[to]!;
    readAloud(part.name);
    if (part.from !== null) void player.seek(part.from);
  };
  bind("[", "Previous part", go(-1));
  bind("]", "Next part", go(1));
  bind("c", "Choose the part at the play head", () => {
    const part = partAt(player.time);
    if (!part) return say("No part is here.");
    store.select(part.index);
    readAloud(part.name);
  });
}

async function begin(): Promise<void> {
  document.body.append(el("p", { class: "waiting", role: "status" }, "Opening the lesson\u2026"));
  store.settle = settle;
  while (!(await store.read())) await new Promise((again) => setTimeout(again, 1000));

  const film = new FilmView(player);
  const bar = transport(player);
  followParts();
  strip = new Strip(page, player);
  const all: Panel[] = [...panels.slice(0, 2), findings_panel, ...panels.slice(2)];
  document.body.replaceChildren(
    header(), lostBanner(),
    el("main", {}, film.element, bar, strip.element,
       el("section", { class: "side", "aria-label": "Panels" }, partChoice(page), tabs.element, said)));
  for (const panel of all) tabs.add(panel, page);
  tabs.open(store.lesson.parts.length ? "Part" : "Lesson");
  listenToKeys();

  store.onLesson((lesson) => {
    film.take(lesson);
    tabs.count("Findings", lesson.findings.length);
  });
  store.onFilm((now) => {
    film.takeFilm(now);
    void player.take(now);
  });
  store.listen();
}

void begin();
