import { button, count, group, labelled, told } from "./controls";
import { lateness, latencyBox } from "./latency";
import { Edit, el, Panel, Part, refused } from "./page";
import { sentence } from "./store";

// The film plays, and a key at each chord change (or each beat) says when it is.

interface Tapped {
  pins: [string, number][];
  tempo: number | null;
  spread: number;
  words: string;
  warning: string;
  edits: Edit[];
  asks: { bar: string; chord: string }[];
}

interface Pass {
  rate: number;
  taps: number[]; // film time, lateness taken off
}

/** What passes depend on. */
function played(part: Part | null | undefined): string {
  return JSON.stringify(part && [part.index, part.name, part.as, part.meter, part.written.bars]);
}

const lead = 2; // seconds of film before the part
const keys = ["t", "T", "Enter", " "];

export const tapPanel: Panel = {
  name: "Tap",
  build(page) {
    const each = el("select", {}, el("option", { value: "change" }, "each change"), el("option", { value: "beat" }, "each beat"));
    const rate = el(
      "select",
      {},
      ...[
        [1, "full speed"],
        [0.75, "three quarters"],
        [0.5, "half speed"],
      ].map(([value, words]) => el("option", { value: String(value) }, String(words))),
    );
    const from = el(
      "select",
      {},
      el("option", { value: "part" }, "two seconds before the part"),
      el("option", { value: "here" }, "where the film stands"),
    );
    const begins = labelled("Begin", from);
    begins.classList.add("wide");
    const now = el("span", { class: "now" });
    const then = el("span", { class: "then" });
    const pad = el("button", { type: "button", class: "pad", hidden: true }, now, then);
    const state = told();
    const passList = el("ul", { class: "rows" });
    const result = el("div", { class: "result", hidden: true });
    const start = button("Start", () => (running ? stop() : void begin()), { class: "main" });
    let part: Part | null = null;
    let passes: Pass[] = [];
    let asks: Tapped["asks"] = [];
    let running: (() => void) | null = null;

    const stop = (): void => running?.();
    const ask = (sent: Pass[]) =>
      page.api.post<Tapped>("tap", { part: part?.index, each: each.value, passes: sent.map(({ taps }) => taps), late: 0 });

    const forget = async (): Promise<void> => {
      stop();
      passes = [];
      asks = [];
      part = page.lesson.parts.find(({ index }) => index === page.part) ?? null;
      from.value = part?.from === null ? "here" : "part";
      showPasses();
      state.textContent = "";
      start.disabled = true;
      if (!part) return;
      const answer = await ask([]);
      if (refused(answer)) {
        state.textContent = sentence(answer);
        return;
      }
      asks = answer.asks ?? [];
      state.textContent = asks.length
        ? `${count(asks.length, "tap")} to make. T, Enter or the space bar taps; Escape stops.`
        : "This part has no bars to tap: type them first.";
      start.disabled = !asks.length || page.lesson.film.state !== "ready";
      if (asks.length && start.disabled) state.textContent = "There is no film to tap to yet.";
    };

    const showNext = (taps: number): void => {
      now.textContent = asks[taps] ? asks[taps].chord || "N.C." : "…";
      then.textContent = asks[taps + 1] ? `then ${asks[taps + 1].chord || "N.C."}` : taps >= asks.length ? "all tapped" : "the last one";
      state.textContent = `${taps} of ${asks.length}`;
    };

    const begin = async (): Promise<void> => {
      if (!part || running) return;
      const pass: Pass = { rate: Number(rate.value), taps: [] };
      const { rate: rateBefore, loop: loopBefore } = page.player;
      let watching = 0;
      const tap = (moment: number): void => {
        pass.taps.push(page.player.timeAt(moment) - lateness() * pass.rate);
        showNext(pass.taps.length);
        if (pass.taps.length === asks.length) window.setTimeout(stop, 800);
      };
      const pressed = (event: KeyboardEvent): void => {
        if (![...keys, "Escape", "Backspace"].includes(event.key) || event.ctrlKey || event.metaKey || event.altKey) return;
        event.preventDefault();
        event.stopPropagation();
        if (event.repeat) return;
        if (event.key === "Escape") return stop();
        if (event.key !== "Backspace") return tap(event.timeStamp);
        pass.taps.pop();
        showNext(pass.taps.length);
      };
      const released = (event: KeyboardEvent): void => {
        if (keys.includes(event.key)) event.preventDefault(); // a space bar that goes up presses the button in focus
      };
      running = () => {
        running = null;
        window.removeEventListener("keydown", pressed, true);
        window.removeEventListener("keyup", released, true);
        clearInterval(watching);
        page.player.pause();
        page.player.rate = rateBefore;
        page.player.loop = loopBefore;
        pad.hidden = true;
        start.textContent = "Start";
        start.focus();
        if (pass.taps.length) passes.push(pass);
        state.textContent = pass.taps.length ? "" : "Nothing was tapped.";
        void judge();
      };
      start.textContent = "Stop";
      pad.hidden = false;
      pad.onpointerdown = (event) => {
        event.preventDefault();
        tap(event.timeStamp);
      };
      window.addEventListener("keydown", pressed, true);
      window.addEventListener("keyup", released, true);
      pad.focus();
      showNext(0);
      if (from.value === "part" && part.from !== null) await page.player.seek(Math.max(page.lesson.film.start, part.from - lead));
      if (!running) return;
      page.player.loop = null;
      page.player.rate = pass.rate;
      try {
        await page.player.play();
      } catch {
        page.say("The film does not play here.", "bad");
        return stop();
      }
      watching = window.setInterval(() => {
        if (!page.player.playing) stop(); // at the end of the film, or paused
      }, 250);
    };

    const judge = async (): Promise<void> => {
      showPasses();
      if (!passes.length) return;
      const answer = await ask(passes);
      if (refused(answer)) {
        state.textContent = sentence(answer);
        return;
      }
      state.textContent = answer.words;
      page.propose(answer.pins.map(([bar, time]) => ({ from: time, to: time, words: bar })));
      result.hidden = !answer.edits.length;
      result.replaceChildren(
        answer.warning ? el("p", { class: "problem" }, answer.warning) : "",
        answer.tempo !== null ? el("p", {}, `Tempo ${Math.round(answer.tempo * 10) / 10}.`) : "",
        el(
          "div",
          { class: "row" },
          button("Keep", () => void keep(answer), { class: "main" }),
          button("Tap another pass", () => void begin()),
        ),
      );
    };

    const keep = async (answer: Tapped): Promise<void> => {
      if (!part || !(await page.edit(`Tap ${part.name}`, answer.edits))) return;
      page.say(`${part.name} has the times you tapped.`, "good");
      await forget();
    };

    const showPasses = (): void => {
      if (!passes.length) page.propose([]);
      result.hidden = true;
      passList.replaceChildren(
        ...passes.map((pass, index) =>
          el(
            "li",
            { class: "row" },
            el(
              "span",
              {},
              `Pass ${index + 1}: ${pass.taps.length} of ${count(asks.length, "tap")}${pass.rate === 1 ? "" : `, at ${pass.rate}`}`,
            ),
            button(
              "Drop",
              () => {
                passes.splice(index, 1);
                state.textContent = "";
                void judge();
              },
              { "aria-label": `Drop pass ${index + 1}` },
            ),
          ),
        ),
      );
    };

    each.addEventListener("change", () => void forget());
    page.onPart(() => void forget());
    page.onLesson(() => {
      const same = page.lesson.parts.find(({ index }) => index === page.part);
      if (played(same) !== played(part)) void forget();
      else part = same ?? null;
    });
    return el(
      "div",
      { class: "stack" },
      group(
        "How",
        el("div", { class: "fields" }, labelled("Tap", each), labelled("Film at", rate), begins),
        latencyBox(() => undefined),
      ),
      el("div", { class: "row" }, start),
      pad,
      state,
      passList,
      result,
    );
  },
};
