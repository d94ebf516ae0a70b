import { button, describe, labelled, newId, told } from "./controls";
import { Edit, el, Finding, Page, Path, refused } from "./page";
import { sentence } from "./store";
import { watch, writing } from "./unsaved";

// Fields that stand for a place in the cue file: saved when they are left. What would make a new error is not saved
// before the author has read it.

type Control = HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement;

/** Brings the keyboard to the field of this place in the file; its text is selected. */
export function focusField(path: Path): void {
  const field = [...document.querySelectorAll<HTMLElement>("[data-path]")].find((each) => each.dataset.path === JSON.stringify(path));
  field?.focus();
  if (field instanceof HTMLInputElement) field.select();
}

/** Saves edits that make no new error. What is wrong with them is said, and false: nothing is saved. */
export async function editIfRight(page: Page, what: string, edits: Edit[]): Promise<boolean> {
  const [wrong] = await newErrors(page, what, edits);
  if (wrong) page.say(`Not saved. ${sentence(wrong)}`, "bad");
  return !wrong && page.edit(what, edits);
}

/** What would be wrong that is not wrong now; empty: nothing, or the server cannot say. */
async function newErrors(page: Page, what: string, edits: Edit[]): Promise<Finding[]> {
  const { digest, findings } = page.lesson; // both of one version: another may come while the server answers
  const answer = await page.api.post<{ findings: Finding[] }>("try", { base: digest, what, edits });
  if (refused(answer)) return [];
  const errors = (findings: Finding[]) => findings.filter(({ severity }) => severity === "error");
  const known = errors(findings);
  const now = errors(answer.findings);
  if (now.length <= known.length) return []; // one in place of another is a step on the way: a time, then the tempo
  return now.filter((each) => !known.some(({ code, what }) => code === each.code && what === each.what));
}

export interface Saved {
  element: HTMLElement;
  control: Control;
  show(): void; // what the lesson says now; keeps what is being typed
}

export interface Place {
  label: string;
  hint?: string;
  path(): Path;
  value(): unknown; // as written; null: not said
  holds?(): string; // what is so where nothing is said, shown in grey
  words: string; // of the change, for undo: "Change the key"
  edits?(text: string): Edit[]; // in place of setting or removing path()
  of?(): string; // what it belongs to, where the same path can become that of something else: the part's name
}

function typed(control: Control): unknown {
  if (control instanceof HTMLInputElement && control.type === "number" && control.value !== "") return Number(control.value);
  return control.value;
}

function shown(value: unknown): string {
  return value === null || value === undefined ? "" : String(value);
}

/** `control` as a field of the file. */
export function saved(page: Page, control: Control, place: Place): Saved {
  let last = ""; // as the file has it
  let sent: { text: string } | null = null; // on its way to the file
  let declined: string | null = null; // the author was told why not
  let owner = "";
  const isTyped = !(control instanceof HTMLSelectElement); // the choices are offered anew with the value of the file
  const problem = el("p", { class: "problem", id: newId(), hidden: true });
  const read = told("unseen");
  const element = labelled(place.label, control, place.hint);
  element.append(problem, read);
  describe(control, problem);

  const settle = (why: string, anyway: (() => void) | null = null): void => {
    declined = why ? control.value : null;
    problem.hidden = !why;
    problem.replaceChildren(why, ...(anyway ? [" ", button("Save anyway", anyway)] : []));
    read.textContent = why;
    if (why) control.setAttribute("aria-invalid", "true");
    else control.removeAttribute("aria-invalid");
  };
  /** Sends what is typed, on its way until it is saved or refused. */
  const send = async (): Promise<void> => {
    const mine = (sent = { text: control.value });
    const path = place.path();
    const edits = place.edits?.(mine.text) ?? [
      mine.text === "" ? ({ path, remove: true } as const) : { path, value: typed(control) },
    ];
    const isHere = () => control.dataset.path === JSON.stringify(path);
    const save = async (): Promise<void> => {
      settle("");
      sent = mine;
      const done = await page.edit(place.words, edits);
      if (sent === mine) sent = null;
      if (done) show();
      else if (isTyped && isHere()) { // the lesson was changed meanwhile: what was typed stays
        control.value = mine.text;
        settle("Not saved.", () => writing(send()));
      }
    };
    const errors = await newErrors(page, place.words, edits);
    if (!errors.length) return save();
    if (sent === mine) sent = null;
    if (isHere()) settle(sentence(errors[0]), () => writing(save()));
    else page.say(`Not saved: ${sentence(errors[0])}`, "bad"); // another part is shown meanwhile
  };
  const left = async (): Promise<void> => {
    if (control.value === last) return settle("");
    if (!control.checkValidity()) return settle(control.validationMessage);
    if (control.value !== sent?.text && control.value !== declined) await send();
  };
  const show = (): void => {
    const path = JSON.stringify(place.path());
    const other = control.dataset.path !== path || owner !== (place.of?.() ?? "");
    if (other && isTyped && control.value !== last && control.value !== sent?.text)
      page.say(`Not saved, ${place.label.toLowerCase()}: ${control.value}`, "bad");
    control.dataset.path = path;
    owner = place.of?.() ?? "";
    if ("placeholder" in control) control.placeholder = place.holds?.() ?? "";
    const now = shown(place.value());
    const typing = !other && isTyped && control === document.activeElement && control.value !== last;
    const refused = !other && now === last && control.hasAttribute("aria-invalid");
    const onItsWay = !other && control.value === sent?.text;
    if (typing || refused || onItsWay) return;
    if (other) sent = null;
    last = control.value = now;
    settle("");
  };
  control.addEventListener("change", () => writing(left()));
  control.addEventListener("blur", () => writing(left())); // again, where it could not be saved before
  watch(() => control.value !== last && !control.hasAttribute("aria-invalid"));
  control.addEventListener("keydown", (event) => {
    if ((event as KeyboardEvent).key === "Escape" && control.value !== last) {
      control.value = last;
      settle("");
      event.stopPropagation();
    }
  });
  return { element, control, show };
}

export function textField(page: Page, place: Place, with_: Record<string, unknown> = {}): Saved {
  return saved(page, el("input", { type: "text", autocomplete: "off", spellcheck: false, ...with_ }), place);
}

export function numberField(page: Page, place: Place, min: number, max: number, step: number | "any" = 1): Saved {
  return saved(page, el("input", { type: "number", min: String(min), max: String(max), step: String(step), inputMode: "decimal" }), place);
}
