// What is asked or shown in front of the page: keys, versions, and which of two versions to keep.
import { api } from "./api";
import { differentLines } from "./different_lines";
import type { Row } from "./different_lines";
import { boundKeys, keyWords, letterKeys, setLetterKeys } from "./keys";
import { el, refused } from "./page";
import { say } from "./say";
import { sentence, store } from "./store";
import type { Meeting } from "./store";

/** Shows a dialog with a title and a way out; gives what `closed` was called with. */
function dialog(title: string, body: Node[], buttons: [value: string, words: string][]): Promise<string> {
  return new Promise((done) => {
    const head = el("h2", { id: "dialog-title", tabIndex: -1 }, title); // has the focus: no button is pressed by a key too many
    const shown = el("dialog", { "aria-labelledby": "dialog-title" }, head, el("div", { class: "dialog-body", tabIndex: 0 }, ...body));
    const row = el("div", { class: "buttons" });
    for (const [value, words] of buttons)
      row.append(el("button", { type: "button", onclick: () => shown.close(value) }, words));
    shown.append(row);
    shown.addEventListener("close", () => {
      shown.remove();
      done(shown.returnValue);
    });
    document.body.append(shown);
    shown.showModal();
    head.focus();
  });
}

export async function showKeys(): Promise<void> {
  const rows = boundKeys().map(({ keys, words }) =>
    el("li", {}, el("span", {}, ...keys.flatMap((key, i) => [i ? " " : "", el("kbd", {}, keyWords(key))])), words));
  const single = el("input", { type: "checkbox", checked: letterKeys(), onchange: () => setLetterKeys(single.checked) });
  await dialog("Keys", [
    el("ul", { class: "keys" }, ...rows),
    el("h3", {}, "On the strip of time"),
    el("p", {}, "Tab goes from row to row: play head, parts, pins and cues, findings. In a row, the up and down arrows go to the mark before and after; " +
                "the left and right arrows move it by one frame, with Shift by ten; Enter goes to it in the film, Delete removes a pin or a cue."),
    el("p", {}, el("label", {}, single, " Keys of one letter or sign work (turn this off if you speak your commands)")),
  ], [["", "Close"]]);
}

const context = 3; // equal lines that are shown around changed ones

/** Changed lines with those around them; -1 stands for lines left out, each by its place in `rows`. */
function shownRows(rows: Row[]): number[] {
  const near = rows.map((_, i) => rows.slice(Math.max(0, i - context), i + context + 1).some((row) => !row.same));
  return rows.map((_, i) => (near[i] ? i : -1)).filter((row, i, all) => row >= 0 || i === 0 || all[i - 1] !== -1);
}

function compared(left: string, right: string, names: [string, string]): HTMLElement {
  const rows = differentLines(left, right);
  if (rows.every((row) => row.same)) return el("p", {}, "The two are the same.");
  const cells = shownRows(rows).flatMap((at) => [0, 1].map((side) => {
    const row = rows[at];
    if (!row) return el("div", { class: "line quiet" }, "\u2026");
    return el("div", { class: row.same ? "line" : "line different" },
              row.same ? null : el("span", { class: "unseen" }, `${names[side]}, changed: `), row.sides[side] ?? "");
  }));
  return el("div", { class: "compared file-text", tabIndex: 0, role: "group", "aria-label": `${names[0]} beside ${names[1]}` },
            ...names.map((name) => el("h3", {}, name)), ...cells);
}

export async function settle(meeting: Meeting): Promise<"mine" | "theirs" | null> {
  const gone = meeting.theirs === "";
  const answer = gone
    ? await dialog("The cue file is gone", [
      el("p", {}, `${meeting.what} It can be written again from what is open here.`),
    ], [["mine", "Write it again"], ["", "Decide later"]])
    : await dialog("Two versions of this lesson", [
      el("p", {}, `${meeting.what} Changed lines are marked. What you do not keep stays among the versions.`),
      compared(meeting.mine, meeting.theirs, ["Yours", "The file's"]),
    ], [["mine", "Keep mine"], ["theirs", "Keep the file's"], ["", "Decide later"]]);
  return answer === "mine" || answer === "theirs" ? answer : null;
}

interface Version {
  id: string;
  when: number; // seconds since 1970
  what: string;
}

export async function showVersions(): Promise<void> {
  const kept = await api.get<Version[]>("versions");
  if (refused(kept)) return say(sentence(kept), "bad");
  if (kept.length === 0) return void await dialog("Versions", [el("p", {}, "No earlier version is kept yet.")], [["", "Close"]]);
  const shown = el("div", { role: "region", "aria-label": "The version beside the lesson as it is", tabIndex: -1 });
  const look = async ({ id, when }: Version) => {
    const [then, now] = await Promise.all([api.get<string>(`version?id=${encodeURIComponent(id)}`), api.get<string>("version")]);
    const wrong = refused(then) ? then : refused(now) ? now : null;
    shown.replaceChildren(wrong ? sentence(wrong) : compared(then as string, now as string, [moment(when), "As it is now"]));
    shown.scrollIntoView({ block: "nearest" });
    shown.querySelector<HTMLElement>("[tabindex]")?.focus();
  };
  const back = async ({ id }: Version, button: HTMLElement) => {
    button.closest("dialog")?.close();
    if (await store.change("restore", { id })) say("That version is the lesson again. Undo takes you back.");
  };
  const rows = kept.map((version) => el("tr", {},
    el("th", { scope: "row" }, moment(version.when)), el("td", {}, version.what),
    el("td", {}, el("div", { class: "buttons" },
      el("button", { type: "button", "aria-label": `Look at the version of ${moment(version.when)}`, onclick: () => void look(version) }, "Look at"),
      el("button", { type: "button", "aria-label": `Go back to the version of ${moment(version.when)}`,
                     onclick: (event: Event) => void back(version, event.currentTarget as HTMLElement) }, "Go back to")))));
  await dialog("Versions", [el("table", { class: "versions" }, el("tbody", {}, ...rows)), shown], [["", "Close"]]);
}

function moment(seconds: number): string {
  return new Intl.DateTimeFormat(undefined, { dateStyle: "medium", timeStyle: "medium" }).format(new Date(1000 * seconds));
}
