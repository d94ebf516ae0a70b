// What is asked or shown in front of the page: keys, versions, and which of two versions to keep.
import { api } from "./api";
import { differentLines } from "./different_lines";
import { boundKeys, keyWords, letterKeys, setLetterKeys } from "./keys";
import { el, refused } from "./page";
import { say } from "./say";
import { sentence, store } from "./store";
import type { Meeting } from "./store";

/** Shows a dialog with a title and a way out; gives what `closed` was called with. */
function dialog(title: string, body: Node[], buttons: [value: string, words: string][]): Promise<string> {
  return new Promise((done) => {
    const head = el("h2", { id: "dialog-title", tabIndex: -1, autofocus: true }, title); // no button is pressed by a key too many
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
                "the left and right arrows move it by one frame, with Shift by ten; Enter goes to it in the film."),
    el("p", {}, el("label", {}, single, " Keys of one letter or sign work (turn this off if you speak your commands)")),
  ], [["", "Close"]]);
}

function compared(mine: string, theirs: string, names: [string, string]): HTMLElement {
  const column = (side: 0 | 1) => {
    const lines = rows.map((row) => el("div", { class: row.same ? "line" : "line different" },
      row.same ? null : el("span", { class: "unseen" }, "changed: "), row.sides[side] ?? ""));
    return el("div", {}, el("h3", {}, names[side]), el("div", { class: "file-text", tabIndex: 0, role: "group", "aria-label": names[side] }, ...lines));
  };
  const rows = differentLines(mine, theirs);
  return el("div", { class: "compared" }, column(0), column(1));
}

export async function settle(meeting: Meeting): Promise<"mine" | "theirs" | null> {
  const answer = await dialog("Two versions of this lesson", [
    el("p", {}, `${meeting.what} Changed lines are marked. What you do not keep stays among the versions.`),
    compared(meeting.mine, meeting.theirs, ["Yours", "The file's"]),
  ], [["mine", "Keep mine"], ["theirs", "Keep the file's"], ["", "Decide later"]]);
  return answer === "mine" || answer === "theirs" ? answer : null;
}

export async function showVersions(): Promise<void> {
  const kept = await api.get<{ id: string; when: string; what: string }[]>("versions");
  if (refused(kept)) return say(sentence(kept), "bad");
  if (kept.length === 0) return void await dialog("Versions", [el("p", {}, "No earlier version is kept yet.")], [["", "Close"]]);
  const text = el("pre", { class: "file-text", tabIndex: 0, hidden: true, "aria-label": "Text of this version" });
  const look = async (id: string) => {
    const found = await api.get<unknown>(`version?id=${encodeURIComponent(id)}`);
    text.hidden = false;
    text.textContent = refused(found) ? sentence(found) : typeof found === "string" ? found : JSON.stringify(found, null, 2);
    text.focus();
  };
  const back = async (id: string, button: HTMLElement) => {
    button.closest("dialog")?.close();
    if (await store.change("restore", { id })) say("That version is the lesson again. Undo takes you back.");
  };
  const rows = kept.map(({ id, when, what }) => el("tr", {},
    el("th", { scope: "row" }, moment(when)), el("td", {}, what),
    el("td", { class: "buttons" },
       el("button", { type: "button", "aria-label": `Look at the version of ${moment(when)}`, onclick: () => void look(id) }, "Look"),
       el("button", { type: "button", "aria-label": `Go back to the version of ${moment(when)}`,
                      onclick: (event: Event) => void back(id, event.currentTarget as HTMLElement) }, "Go back to it"))));
  await dialog("Versions", [el("table", { class: "versions" }, el("tbody", {}, ...rows)), text], [["", "Close"]]);
}

function moment(when: string): string {
  const date = new Date(when);
  return isNaN(date.getTime()) ? when : new Intl.DateTimeFormat(undefined, { dateStyle: "medium", timeStyle: "medium" }).format(date);
}
