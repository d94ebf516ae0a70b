import { button, group, labelled } from "./controls";
import { Finding, el, Page, Panel, Run } from "./page";
import { runBox } from "./run_box";
import { sentence } from "./store";

// What a lesson becomes: films, a sheet, what is published. And the check that looks at film and sound.

function output(
  page: Page,
  title: string,
  words: string,
  kind: string,
  press: string,
  body: () => Record<string, unknown>,
  ...fields: HTMLElement[]
): HTMLElement {
  const box = runBox(page, [kind]);
  return group(
    title,
    el("p", { class: "quiet" }, words),
    ...fields,
    el(
      "div",
      { class: "row" },
      button(press, () => void box.start({ kind, ...body() })),
    ),
    box.element,
  );
}

function check(text: string): { input: HTMLInputElement; element: HTMLElement } {
  const input = el("input", { type: "checkbox" });
  return { input, element: el("label", { class: "check" }, input, text) };
}

function film(page: Page): HTMLElement {
  const name = el("input", { type: "text", spellcheck: false, autocomplete: "off", placeholder: "the usual one" });
  const draft = check("A draft: quick, in lower quality");
  const part = check("Only the selected part");
  const timed = (): void => {
    part.input.disabled = page.part === null || page.lesson.parts[page.part]?.from === null;
    if (part.input.disabled) part.input.checked = false;
  };
  page.onLesson(timed);
  page.onPart(timed);
  const stretch = (): Record<string, unknown> => {
    const chosen = part.input.checked && page.part !== null ? page.lesson.parts[page.part] : null;
    return chosen ? { from: chosen.from, to: chosen.to } : {};
  };
  return output(
    page,
    "Film",
    "The film with its overlays, beside the lesson. Only what has changed since the last one is made anew.",
    "render",
    "Make the film",
    () => ({ name: name.value.trim(), draft: draft.input.checked, ...stretch() }),
    labelled("Name", name, "Of a film (.mp4, .mov, .mkv, .webm)"),
    draft.element,
    part.element,
  );
}

function sheet(page: Page): HTMLElement {
  const paper = el("select", {}, el("option", { value: "a4" }, "A4"), el("option", { value: "letter" }, "Letter"));
  return output(
    page,
    "Sheet",
    "Chords, bars and words to print, a PDF beside the lesson.",
    "sheet",
    "Make the sheet",
    () => ({ paper: paper.value }),
    labelled("Paper", paper),
  );
}

function fullCheck(page: Page): HTMLElement {
  const show = (run: Run, into: HTMLElement): void => {
    const { findings: found = [], digest = "" } = (run.result ?? {}) as { findings?: Finding[]; digest?: string };
    const fixes = (each: Finding): HTMLElement[] =>
      each.repairs.map(({ words, edits }) =>
        button(words, () => {
          if (page.lesson.digest === digest) void page.edit(words, edits);
          else page.say("The lesson has changed since this check. Check again.", "bad");
        }),
      );
    into.replaceChildren(
      found.length
        ? el(
            "ul",
            { class: "rows" },
            ...found.map((each) =>
              el(
                "li",
                { class: `found ${each.severity}` },
                el("strong", {}, each.severity),
                " ",
                sentence(each),
                each.time === null
                  ? null
                  : button("Look", () => void page.player.seek(each.time as number), { "aria-label": `Look at ${each.what}` }),
                ...fixes(each),
              ),
            ),
          )
        : "",
    );
  };
  const listens = check("Charts against what is played, too");
  const box = runBox(page, ["check"], show);
  return group(
    "Full check",
    el(
      "p",
      { class: "quiet" },
      "Looks at the frames and the sound of the film too: hidden faces and hands, flashing, black or frozen frames. It takes a while.",
    ),
    listens.element,
    el(
      "div",
      { class: "row" },
      button("Check film and sound", () => void box.start({ kind: "check", listen: listens.input.checked })),
    ),
    box.element,
  );
}

export const outPanel: Panel = {
  name: "Out",
  build: (page) =>
    el(
      "div",
      { class: "stack" },
      fullCheck(page),
      film(page),
      output(
        page,
        "Film with overlays to switch",
        "A Matroska film (.mkv) beside the lesson: the viewer switches the overlays on and off. Frames and sound are copied as they are.",
        "switchable",
        "Make it",
        () => ({}),
      ),
      output(
        page,
        "Track for an editor",
        "The overlays alone, with transparency (.mov), beside the lesson: lay it over the film in an editing program.",
        "track",
        "Make the track",
        () => ({}),
      ),
      sheet(page),
      output(
        page,
        "Chapters, captions, cover",
        "A folder beside the lesson with chapters, captions, a description and a cover picture.",
        "publish",
        "Make them",
        () => ({}),
      ),
      el(
        "p",
        { class: "caution" },
        "Rights in songs, words and recordings are yours to clear before you publish. Local rules and professional advice come first.",
      ),
    ),
};
