// What `check` says of the lesson, each with its place, and with its fix where that is certain.
import { icon } from "./icons";
import { clock, el } from "./page";
import type { Finding, Page, Panel } from "./page";
import { asSentence } from "./store";

const names = { error: "Error", warning: "Warning", advice: "Advice" };

export function findingPlace(page: Page, finding: Finding): string {
  const part = finding.part === null ? undefined : page.lesson.parts[finding.part];
  const words = [part?.name, finding.time === null ? undefined : clock(finding.time)].filter((word) => word !== undefined);
  return words.join(", ") || (finding.line ? `line ${finding.line}` : "");
}

export function goTo(page: Page, finding: Finding): void {
  if (finding.part !== null) page.select(finding.part);
  if (finding.time !== null) void page.player.seek(finding.time);
}

/** Goes there, and shows what is said of it. */
export function showFinding(page: Page, finding: Finding): void {
  goTo(page, finding);
  page.open("Findings");
  const at = page.lesson.findings.indexOf(finding);
  document.querySelectorAll(".findings > li").forEach((item, i) => {
    item.removeAttribute("aria-current");
    if (i !== at) return;
    item.setAttribute("aria-current", "true");
    item.scrollIntoView({ block: "nearest" });
  });
}

/** The field that changes the place in the file that a finding is about, or the nearest place around it. */
function fieldOf(finding: Finding): HTMLElement | null {
  const fields = [...document.querySelectorAll<HTMLElement>("[data-path]")];
  for (let path = finding.path; path.length > 0; path = path.slice(0, -1)) {
    const place = JSON.stringify(path);
    const found = fields.find((field) => field.dataset["path"] === place);
    if (found) return found;
  }
  return null;
}

function showField(page: Page, finding: Finding): void {
  goTo(page, finding);
  const field = fieldOf(finding);
  const tab = field?.closest("[role=tabpanel]")?.getAttribute("data-panel");
  page.open(tab ?? (finding.part === null ? "Lesson" : "Part"));
  const inside = field?.matches("input, textarea, select, button") ? field : field?.querySelector<HTMLElement>("input, textarea, select, button");
  inside?.focus();
}

function row(page: Page, finding: Finding): HTMLElement {
  const place = findingPlace(page, finding);
  const goes = finding.part !== null || finding.time !== null;
  const head = [icon(finding.severity), el("span", { class: "severity" }, names[finding.severity] ?? finding.severity),
                place ? el("span", { class: "quiet" }, place) : null];
  const repairs = finding.repairs.map((repair) =>
    el("button", { type: "button", onclick: () => void page.edit(repair.words, repair.edits) }, repair.words));
  if (finding.path.length) repairs.push(el("button", { type: "button", onclick: () => showField(page, finding) }, "Show where to change it"));
  return el("li", { class: `finding ${finding.severity}` },
            goes ? el("button", { type: "button", class: "bare go", title: "Go there", onclick: () => goTo(page, finding) }, ...head)
                 : el("div", { class: "go" }, ...head),
            el("p", {}, asSentence(finding.what), finding.more > 0 ? ` (And ${finding.more} more like this.)` : null),
            finding.fix ? el("p", { class: "quiet" }, asSentence(finding.fix)) : null,
            repairs.length ? el("div", { class: "buttons" }, ...repairs) : null);
}

export const findings_panel: Panel = {
  name: "Findings",
  build(page: Page): HTMLElement {
    const list = el("ul", { class: "findings" });
    const none = el("div", { class: "stack" },
      el("p", {}, "No problems found."),
      el("p", { class: "quiet" }, "This reads the lesson. Whether cards hide a face or hands, and what the film's frames and sound are like, the full check says."),
      el("div", { class: "buttons" }, el("button", { type: "button", onclick: () => page.open("Out") }, "Full check")));
    const broken = el("p", { class: "broken", hidden: true });
    let shown = "";
    page.onLesson((lesson) => {
      const now = JSON.stringify([lesson.findings, lesson.parts.map((part) => part.name)]);
      if (now === shown) return;
      shown = now;
      none.hidden = lesson.findings.length > 0 || lesson.broken !== "";
      const at = [...list.querySelectorAll("button")].indexOf(document.activeElement as HTMLButtonElement);
      list.replaceChildren(...lesson.findings.map((finding) => row(page, finding)));
      const buttons = list.querySelectorAll("button");
      if (at >= 0) buttons[Math.min(at, buttons.length - 1)]?.focus(); // keyboards keep their place in the list
    });
    page.onLesson((lesson) => {
      broken.hidden = lesson.broken === "";
      broken.textContent = lesson.broken ? `${lesson.drawn ? "The film shows the last version that could be drawn." : "The lesson cannot be drawn yet."} ${asSentence(lesson.broken)}` : "";
    });
    return el("div", {}, broken, none, list);
  },
};
