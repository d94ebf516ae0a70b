import { button, group } from "./controls";
import { el, Page, refused, Run } from "./page";
import { asSentence, sentence } from "./store";
import { written } from "./unsaved";

// A command that runs beside the page: started, followed, cancelled, and what it made.

/** Asks in a dialog; true: yes. */
export function sure(words: string, yes: string): Promise<boolean> {
  const dialog = el(
    "dialog",
    {},
    el(
      "form",
      { method: "dialog", class: "ask" },
      el("p", {}, words),
      el(
        "div",
        { class: "buttons" },
        el("button", { value: "yes", class: "main" }, yes),
        el("button", { value: "", autofocus: true }, "Cancel"),
      ),
    ),
  );
  document.body.append(dialog);
  dialog.showModal();
  return new Promise((answered) =>
    dialog.addEventListener("close", () => {
      dialog.remove();
      answered(dialog.returnValue === "yes");
    }),
  );
}

/** "about 2 min left", from the share that is done after some seconds; empty: too early to say. */
export function left(share: number, seconds: number): string {
  if (share < 0.02 || seconds < 2) return "";
  const rest = (seconds * (1 - share)) / share;
  return rest > 90 ? `about ${Math.round(rest / 60)} min left` : `about ${Math.max(1, Math.round(rest))} s left`;
}

export interface RunBox {
  element: HTMLElement;
  /** False where it was refused; that is said. `force` is asked for where something would be replaced. */
  start(body: Record<string, unknown>, path?: string): Promise<boolean>;
}

let before: Promise<Run[]> | null = null;

/** The runs that were there when the page was opened; asked once. */
export function runsBefore(page: Page): Promise<Run[]> {
  before ??= page.api.get<Run[]>("runs").then((runs) => (refused(runs) ? [] : runs));
  return before;
}

const states = { running: "", done: "Done.", failed: "It failed.", cancelled: "Cancelled." };

/** Draws what a run gave. `old`: it began before the page was opened. */
export type Shown = (run: Run, into: HTMLElement, old: boolean) => void;

/** Follows the newest run of these kinds. */
export function runBox(page: Page, kinds: string[], show: Shown = made(page)): RunBox {
  const words = el("strong");
  const bar = el("progress", { max: 1, "aria-label": "How much is done" });
  const state = el("p", { role: "status" });
  const last = el("p", { class: "quiet" });
  const cancel = button("Cancel", async () => {
    const answer = await page.api.post("cancel", { id: now?.id });
    if (refused(answer)) page.say(sentence(answer), "bad");
  });
  const results = el("div", { class: "stack" });
  const command = el("code", { class: "command" });
  const as = el("details", { hidden: true }, el("summary", {}, "As a command"), command);
  const progress = el("div", { class: "row" }, bar, cancel);
  const element = group("", words, progress, state, last, results, as);
  element.className = "run";
  element.hidden = true;
  let now: Run | null = null;
  let old = new Set<string>();
  let began = 0;

  const told = (run: Run): void => {
    if (!kinds.includes(run.kind) || (now && now.id !== run.id && now.state === "running" && run.state !== "running")) return;
    if (now?.id !== run.id) {
      began = performance.now();
      results.replaceChildren();
    }
    const turned = now?.id !== run.id || now.state !== run.state;
    now = run;
    element.hidden = false;
    words.textContent = run.words;
    const running = run.state === "running";
    progress.hidden = !running;
    if (run.share > 0) bar.value = run.share;
    else bar.removeAttribute("value");
    last.textContent = running
      ? [left(run.share, (performance.now() - began) / 1000), run.what].filter((each) => each).join(" · ")
      : run.state === "done"
        ? ""
        : run.what && asSentence(run.what);
    last.className = run.state === "failed" ? "problem" : "quiet";
    as.hidden = !run.command;
    command.textContent = run.command;
    if (!turned) return;
    state.textContent = run.state === "done" && run.what ? asSentence(run.what) : states[run.state];
    if (run.state === "done") show(run, results, old.has(run.id));
    const soon = performance.now() - began < 15000; // who waits longer has gone on to something else
    if (!old.has(run.id) && soon) element.scrollIntoView({ block: running ? "nearest" : "start" });
  };
  page.onRun(told);
  void runsBefore(page).then((runs) => {
    old = new Set(runs.map(({ id }) => id));
    runs.forEach(told);
  });

  const start = async (body: Record<string, unknown>, path = "runs"): Promise<boolean> => {
    await written(); // a field that was left by pressing the button
    const answer = await page.api.post<{ id: string }>(path, body);
    if (!refused(answer)) return true;
    if (answer.status === 409 && answer.body?.exists && (await sure(`${answer.body.exists} is there already.`, "Replace it")))
      return start({ ...body, force: true }, path);
    if (answer.status !== 409 || !answer.body?.exists) page.say(sentence(answer), "bad");
    return false;
  };
  return { element, start };
}

const films = /\.(mp4|webm|mov|mkv|m4v)$/i;
const readable = /\.(pdf|txt|vtt|srt|png)$/i;
const pictures = /\.(png|jpe?g|svg)$/i;

function address(page: Page, run: Run, name: string, more = ""): string {
  return page.api.url(`made?id=${encodeURIComponent(run.id)}&name=${encodeURIComponent(name)}${more}`);
}

function play(source: string, name: string): void {
  const video = el("video", { controls: true, src: source, class: "played" });
  const dialog = el(
    "dialog",
    { "aria-label": name, class: "player" },
    el("form", { method: "dialog" }, el("div", { class: "row" }, el("strong", {}, name), el("button", {}, "Close"))),
    video,
  );
  document.body.append(dialog);
  dialog.addEventListener("close", () => dialog.remove());
  dialog.showModal();
  video.volume = 0.5; // quietly at first
  video.addEventListener("error", () =>
    video.replaceWith(el("p", { class: "ask" }, "This browser does not play this kind of film. Save it, and open it in a film player.")),
  );
  void video.play().catch(() => undefined); // its controls are there
}

/** The files that a run made: to be played, looked at, saved. */
export function made(page: Page): Shown {
  return (run, into) =>
    into.replaceChildren(
      el(
        "ul",
        { class: "rows" },
        ...run.made.map((name) => {
          const there = address(page, run, name);
          return el(
            "li",
            { class: "row" },
            el("span", { class: "name" }, name),
            films.test(name)
              ? button("Play", () => play(there, name), { "aria-label": `Play ${name}` })
              : readable.test(name)
                ? el("a", { href: there, target: "_blank", rel: "noopener", "aria-label": `Open ${name}` }, "Open")
                : null,
            el("a", { href: address(page, run, name, "&download=1"), download: name, "aria-label": `Save ${name}` }, "Save"),
            pictures.test(name) ? el("img", { src: there, alt: name, class: "made", loading: "lazy" }) : null,
          );
        }),
      ),
    );
}
