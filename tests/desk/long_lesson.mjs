// Twenty minutes with 400 cues: forty parts of half a minute, in turns ten talked cues, or eight pinned bars and two shown texts.
import {spawnSync} from 'node:child_process';
import path from 'node:path';
import {demo} from './desk.mjs';

export const minutes = 20, cues = 400;
const chords = ['Am', 'C', 'Em', 'F', 'G', 'Dm', 'C/G', 'E7', 'Am7', 'D'];
const clock = seconds => `${Math.floor(seconds / 60)}:${(seconds % 60).toFixed(2).padStart(5, '0')}`;

export function longLesson() {
  const sections = [];
  for (let part = 0; part < cues / 10; part++) {
    const from = part * 30;
    sections.push(part % 2 === 0
      ? {name: `Talk ${part + 1}`, from: clock(from), to: clock(from + 30),
         show: chords.map((chord, n) => ({chord, from: clock(from + 1 + 2.8 * n)}))}
      : {name: `Song ${part + 1}`, from: clock(from), to: clock(from + 30), strum: 'lapping',
         pins: Array.from({length: 8}, (_, bar) => [`${bar + 1}.1`, clock(from + 3 + 3 * bar)]),
         bars: 'Am | F | C / G / | Em | Am | F | C | G',
         show: [{text: 'Slowly', from: clock(from), to: clock(from + 2)}, {text: 'Once more', from: clock(from + 27.5), to: clock(from + 29)}]});
  }
  return {tabard: 1, title: 'A long evening', footage: 'lantern.mp4', instrument: 'guitar', capo: 4, key: 'C#m', meter: '4/4', tempo: 80,
          strums: {lapping: {steps: 'D - - U - U D -'}}, sections};
}

/** The demo film again and again, not encoded anew. */
export function longFilm(folder) {
  const file = path.join(folder, 'long.mp4');
  const {status, stderr} = spawnSync('ffmpeg', ['-v', 'error', '-y', '-stream_loop', String(minutes), '-i', path.join(demo, 'lantern.mp4'),
                                                '-c', 'copy', '-t', String(60 * minutes), file], {encoding: 'utf8'});
  if (status !== 0) throw new Error(stderr);
  return file;
}
