// What is drawn behind the marks of the strip: the ruler, the chords of the charts, the sound.
import { clock } from "./page";
import type { Lesson } from "./page";

export interface StripView {
  left: number; // the time at the left edge, in seconds
  scale: number; // pixels a second
  width: number; // CSS pixels
  height: number;
}

/** Places from the top, in CSS pixels; those of desk.css. */
export interface StripPlaces {
  ruler: number;
  chords: number;
  chordsHeight: number;
  sound: number;
  soundHeight: number;
}

interface Colours { ink: string; soft: string; line: string; accent: string; }

const waveformRate = 50; // samples a second

function rulerStep(scale: number): number {
  const steps = [0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600];
  return steps.find((step) => step * scale >= 76) ?? 1200;
}

export function drawStrip(canvas: HTMLCanvasElement, view: StripView, places: StripPlaces, lesson: Lesson, sound: Uint8Array | null): void {
  const dots = devicePixelRatio;
  const [wide, high] = [Math.round(view.width * dots), Math.round(view.height * dots)];
  if (canvas.width !== wide || canvas.height !== high) {
    canvas.width = wide;
    canvas.height = high;
  }
  const pen = canvas.getContext("2d")!;
  const style = getComputedStyle(canvas);
  const colours: Colours = { ink: style.getPropertyValue("--ink"), soft: style.getPropertyValue("--soft"),
                             line: style.getPropertyValue("--line"), accent: style.getPropertyValue("--accent") };
  pen.setTransform(dots, 0, 0, dots, 0, 0);
  pen.clearRect(0, 0, view.width, view.height);
  pen.font = `12px ${style.fontFamily}`;
  pen.textBaseline = "middle";
  drawRuler(pen, view, places, colours);
  drawSound(pen, view, places, colours, sound);
  drawChords(pen, view, places, colours, lesson);
}

function drawRuler(pen: CanvasRenderingContext2D, view: StripView, places: StripPlaces, colours: Colours): void {
  const step = rulerStep(view.scale);
  const last = view.left + view.width / view.scale;
  for (let i = Math.max(0, Math.floor(view.left / step)); i * step <= last; i++) {
    const x = Math.round((i * step - view.left) * view.scale) + 0.5;
    pen.strokeStyle = colours.line;
    pen.beginPath();
    pen.moveTo(x, places.ruler / 2);
    pen.lineTo(x, view.height);
    pen.stroke();
    pen.fillStyle = colours.soft;
    const words = clock(i * step, step < 1 ? 1 : 0);
    const width = pen.measureText(words).width;
    pen.fillText(words, x + 4 + width > view.width ? x - 4 - width : x + 4, places.ruler / 2);
  }
}

function drawSound(pen: CanvasRenderingContext2D, view: StripView, places: StripPlaces, colours: Colours, sound: Uint8Array | null): void {
  const middle = places.sound + places.soundHeight / 2;
  pen.fillStyle = colours.line;
  pen.fillRect(0, middle, view.width, 1);
  if (!sound) return;
  const most = sound.reduce((loudest, each) => Math.max(loudest, each), 16); // a quiet film is to be seen as well
  pen.fillStyle = colours.soft;
  pen.globalAlpha = 0.75;
  for (let x = 0; x < view.width; x++) {
    const from = Math.floor((view.left + x / view.scale) * waveformRate);
    const to = Math.max(from + 1, Math.floor((view.left + (x + 1) / view.scale) * waveformRate));
    if (to <= 0 || from >= sound.length) continue;
    let loudest = 0;
    for (let i = Math.max(0, from); i < Math.min(to, sound.length); i++) loudest = Math.max(loudest, sound[i]!);
    const high = Math.max(1, (loudest / most) * places.soundHeight);
    pen.fillRect(x, middle - high / 2, 1, high);
  }
  pen.globalAlpha = 1;
}

function drawChords(pen: CanvasRenderingContext2D, view: StripView, places: StripPlaces, colours: Colours, lesson: Lesson): void {
  const last = view.left + view.width / view.scale;
  const middle = places.chords + places.chordsHeight / 2;
  let free = -Infinity; // where the name before ends
  for (const part of lesson.parts) {
    for (const change of part.changes) {
      if (change.to < view.left || change.from > last) continue;
      const x = (change.from - view.left) * view.scale;
      pen.fillStyle = colours.accent;
      pen.fillRect(Math.round(x), places.chords, 1, places.chordsHeight);
      const width = pen.measureText(change.chord).width;
      const room = (change.to - change.from) * view.scale;
      if (x + 4 < free || width + 6 > room) continue;
      pen.fillStyle = colours.ink;
      pen.fillText(change.chord, x + 4, middle);
      free = x + 4 + width;
    }
  }
}
