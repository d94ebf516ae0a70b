// Play, step, rate, loop, volume; and the places to go to.
import { icon } from "./icons";
import { bind } from "./keys";
import { clock, el } from "./page";
import type { Part } from "./page";
import type { FilmPlayer } from "./player";
import { say } from "./say";
import { store } from "./store";

const rates = [0.5, 0.75, 1];

/** Of rising times the next after `time`, or the last before it. */
export function beside(times: number[], time: number, way: 1 | -1): number | null {
  const near = 0.002;
  if (way > 0) return times.find((other) => other > time + near) ?? null;
  return times.filter((other) => other < time - near).pop() ?? null;
}

/** Just before the frame on screen at `time` ends: what begins within a frame is drawn on it. */
function drawnUntil(time: number): number {
  const { rate, variable } = store.lesson.film;
  return rate > 0 && !variable ? time + 1 / rate - 0.001 : time + 0.0005;
}

/** The part that is drawn on the frame at `time`. */
export function partAt(time: number): Part | undefined {
  const until = drawnUntil(time);
  return store.lesson.parts.find((each) => each.from !== null && until >= each.from && until < (each.to ?? 0));
}

function sorted(times: (number | null)[]): number[] {
  return [...new Set(times.filter((time): time is number => time !== null))].sort((a, b) => a - b);
}

/** Where something on screen changes: chords, single cues, parts. */
export function changeTimes(): number[] {
  return sorted(store.lesson.parts.flatMap((part) => [
    part.from, part.to, ...part.changes.map((change) => change.from), ...part.show.map((cue) => cue.from)]));
}

function tool(drawing: string, words: string, pressed: () => void): HTMLButtonElement {
  return el("button", { type: "button", class: "tool", title: words, "aria-label": words, onclick: pressed }, icon(drawing));
}

export function transport(player: FilmPlayer): HTMLElement {
  const toggle = () => {
    if (!player.usable) say("There is no film to play yet.");
    else if (player.playing) player.pause();
    else void player.play();
  };
  const step = (frames: number) => () => void player.step(frames);
  const by = (seconds: number) => () => void player.seek(player.time + seconds);
  const to = (times: () => number[], way: 1 | -1, none: string) => () => {
    const time = beside(times(), player.time, way);
    if (time === null) say(none);
    else void player.seek(time);
  };
  const nextChange = to(changeTimes, 1, "No change after this.");
  const lastChange = to(changeTimes, -1, "No change before this.");
  const findingTimes = () => sorted(store.lesson.findings.map((finding) => finding.time));
  let looped: [number, number] | null = null; // the loop of the chosen part, which follows it
  const stretch = (): [number, number] | null => {
    const part = store.part === null ? undefined : store.lesson.parts[store.part];
    return part && part.from !== null && part.to !== null ? [part.from, part.to] : null;
  };
  const followPart = () => {
    if (looped && player.loop === looped) player.loop = looped = stretch() ?? looped;
  };
  const setLoop = () => {
    looped = player.loop ? null : stretch();
    if (!looped && !player.loop) return say("Choose a part with a time first: the loop plays that part again and again.");
    player.loop = looped;
    if (looped && (player.time < looped[0] || player.time >= looped[1])) void player.seek(looped[0]);
    say(looped ? `The part ${store.lesson.parts[store.part!]!.name} plays again and again.` : "The loop is off.");
  };
  const setRate = (rate: number) => { player.rate = rate; };

  const play = el("button", { type: "button", class: "tool play", onclick: toggle });
  const loop = tool("loop", "Loop this part", setLoop);
  const silent = tool("sound", "Mute", () => { player.video.muted = !player.video.muted; });
  const volume = el("input", { type: "range", min: "0", max: "1", step: "0.05", value: "1", class: "volume", "aria-label": "Volume",
                               oninput: () => { player.video.volume = Number(volume.value); player.video.muted = false; } });
  const rate = el("select", { "aria-label": "Speed", title: "Speed", onchange: () => setRate(Number(rate.value)) },
                  ...rates.map((each) => el("option", { value: String(each) }, `\u00d7 ${each}`)));
  const time = el("output", { class: "time", "aria-label": "Time", "aria-live": "off" });
  const length = el("span", { class: "quiet length" });
  const where = el("span", { class: "where" });

  function show(): void {
    const words = player.playing ? "Pause" : "Play";
    play.replaceChildren(icon(player.playing ? "pause" : "play"));
    play.setAttribute("aria-label", words);
    play.title = `${words} (Space)`;
    const muted = player.video.muted || player.video.volume === 0;
    silent.replaceChildren(icon(muted ? "silent" : "sound"));
    silent.setAttribute("aria-pressed", String(player.video.muted));
    loop.setAttribute("aria-pressed", String(player.loop !== null));
    rate.value = String(player.rate);
  }
  function showTime(): void {
    time.value = clock(player.time);
    const part = partAt(player.time);
    const until = drawnUntil(player.time);
    const change = part?.changes.find((each) => until >= each.from && until < each.to);
    const words = part ? [part.name, ...(change ? [`bar ${change.bar}`, change.chord] : [])].join(" \u00b7 ") : "";
    if (where.textContent !== words) where.textContent = words;
  }
  player.onState(show);
  show(); // a player without a film has no state to tell
  player.onFrame(showTime);
  store.onLesson((lesson) => {
    length.textContent = lesson.film.end > 0 ? ` / ${clock(lesson.film.end, 0)}` : "";
    silent.hidden = volume.hidden = !lesson.film.sound;
    showTime();
    followPart();
  });
  store.onPart(followPart);

  bind(" ", "Play or pause", toggle);
  bind(",", "One frame back", step(-1), { repeat: true });
  bind(".", "One frame on", step(1), { repeat: true });
  bind("<", "Ten frames back", step(-10), { repeat: true });
  bind(">", "Ten frames on", step(10), { repeat: true });
  bind("ArrowLeft", "One second back", by(-1), { repeat: true });
  bind("ArrowRight", "One second on", by(1), { repeat: true });
  bind("Shift+ArrowLeft", "Five seconds back", by(-5), { repeat: true });
  bind("Shift+ArrowRight", "Five seconds on", by(5), { repeat: true });
  bind("p", "Previous change: chord, cue or part", lastChange, { repeat: true });
  bind("n", "Next change", nextChange, { repeat: true });
  bind("Shift+f", "Previous finding", to(findingTimes, -1, "No finding before this."));
  bind("f", "Next finding", to(findingTimes, 1, "No finding after this."));
  bind("s", "Speed: half, three quarters, full", () => {
    setRate(rates[(rates.indexOf(player.rate) + 1) % rates.length]!);
    say(`Speed \u00d7 ${player.rate}.`);
  });
  bind("l", "Loop this part", setLoop);
  bind("m", "Sound on or off", () => { player.video.muted = !player.video.muted; });

  return el("div", { class: "transport", role: "group", "aria-label": "Playing" },
            tool("changeBack", "Previous change (P)", lastChange), tool("frameBack", "One frame back (,)", step(-1)), play,
            tool("frameOn", "One frame on (.)", step(1)), tool("changeOn", "Next change (N)", nextChange),
            el("span", { class: "clock" }, time, length), where, loop, rate, silent, volume);
}
