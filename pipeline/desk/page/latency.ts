import { button, describe, newId, told } from "./controls";
import { el } from "./page";

// How late this person taps on this machine, measured once by tapping to a click. Kept in a cookie, since storage
// belongs to a port and the desk has another one each time; the number goes nowhere else.

const clicks = 16;
const first = 4; // taps before somebody is in time do not count
const every = 60 / 90; // seconds from click to click
const least = 8; // taps

export function lateness(): number {
  return Number(/(?:^|; )tabard_late=(-?[\d.]+)/.exec(document.cookie)?.[1] ?? 0);
}

function keep(seconds: number): void {
  document.cookie = `tabard_late=${seconds.toFixed(4)}; Path=/; Max-Age=31536000; SameSite=Strict`;
}

function median(values: number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

/** A short, quiet click of 1 kHz at `when` of the sound's own clock. */
function click(sound: AudioContext, when: number): void {
  const tone = sound.createOscillator();
  const level = sound.createGain();
  tone.frequency.value = 1000;
  level.gain.setValueAtTime(0.1, when);
  level.gain.exponentialRampToValueAtTime(0.0001, when + 0.04);
  tone.connect(level).connect(sound.destination);
  tone.start(when);
  tone.stop(when + 0.05);
}

/** performance.now() at which a moment of the sound's clock is heard. */
function heard(sound: AudioContext, when: number): number {
  const { contextTime, performanceTime } = sound.getOutputTimestamp();
  return contextTime && performanceTime
    ? performanceTime + (when - contextTime) * 1000
    : performance.now() + (when - sound.currentTime + (sound.outputLatency || 0)) * 1000;
}

/** Seconds from the nearest click to each tap; taps of the first clicks are left out. */
export function lags(taps: number[], begin: number, gap: number, skip: number): number[] {
  return taps
    .map((tap) => ({ tap, nearest: Math.round((tap - begin) / gap) }))
    .filter(({ nearest }) => nearest >= skip && nearest < clicks)
    .map(({ tap, nearest }) => tap - (begin + nearest * gap));
}

/** Where lateness is measured and shown. `changed` is told of a new one. */
export function latencyBox(changed: () => void): HTMLElement {
  const state = el("strong");
  const result = told();
  const pad = el("button", { type: "button", class: "pad", hidden: true }, "Tap with each click");
  const hint = el(
    "small",
    { id: newId() },
    "Ears, fingers and keys take a moment. Tap to sixteen quiet clicks once, and that moment is taken off what you tap. Turn your sound down first, then up as you need it.",
  );
  let stop: (() => void) | null = null;
  const show = (): void => void (state.textContent = `${Math.round(lateness() * 1000)} ms`);
  const set = (seconds: number): void => {
    keep(seconds);
    show();
    changed();
  };
  const measure = async (): Promise<void> => {
    const sound = new AudioContext();
    await sound.resume();
    const begin = sound.currentTime + 1;
    for (let each = 0; each < clicks; ++each) click(sound, begin + each * every);
    const taps: number[] = [];
    const tap = (event: Event): void => {
      if (event instanceof KeyboardEvent && (event.repeat || event.key === "Tab")) return;
      event.preventDefault();
      event.stopPropagation();
      if (event instanceof KeyboardEvent && event.key === "Escape") return end();
      taps.push(event.timeStamp);
      result.textContent = `${taps.length} taps`;
    };
    const end = (): void => {
      const at = heard(sound, begin);
      window.removeEventListener("keydown", tap, true);
      clearTimeout(waiting);
      stop = null;
      void sound.close();
      start.textContent = "Measure";
      const late = lags(
        taps.map((each) => each / 1000),
        at / 1000,
        every,
        first,
      );
      pad.hidden = true;
      start.focus();
      if (late.length < least) {
        result.textContent = "Not enough taps: nothing is changed.";
        return;
      }
      const middle = median(late);
      result.textContent = `You tap ${Math.round(middle * 1000)} ms after the click; half of your taps lie within ${Math.round(median(late.map((each) => Math.abs(each - middle))) * 1000)} ms of that.`;
      set(middle);
    };
    const waiting = window.setTimeout(end, (1 + clicks * every + 0.3) * 1000);
    stop = end;
    pad.onpointerdown = tap;
    window.addEventListener("keydown", tap, true);
    pad.hidden = false;
    pad.focus();
    start.textContent = "Stop";
    result.textContent = "Any key, or the large button.";
  };
  const start = button("Measure", () => (stop ? stop() : void measure()));
  describe(start, hint);
  show();
  return el(
    "details",
    {},
    el("summary", {}, "How late you tap: ", state),
    hint,
    pad,
    el(
      "div",
      { class: "row" },
      start,
      button("Set to 0", () => set(0)),
    ),
    result,
  );
}
