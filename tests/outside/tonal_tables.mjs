// Tables of npm tonal 6.4.2, one fact a line, for the C++ tests:
//   chord C7#9 C E G Bb D#        notes of a chord name
//   key Bb -2 Bb C D Eb F G A     signature and scale of a major key, flats negative
//   minor Bbm -5 Bb C Db ...      the same of a natural minor key
//   transpose Bb 3 Db             a note moved by an interval of so many half-steps, spelled by letters
//   midi Eb4 63
import { Chord, Interval, Key, Note } from 'tonal';

const roots = ['C', 'Db', 'D', 'Eb', 'E', 'F', 'F#', 'G', 'Ab', 'A', 'Bb', 'B'];
const qualities = ['', 'm', '7', 'maj7', 'm7', 'mMaj7', 'sus2', 'sus4', '7sus4', 'add9', 'madd9', '6', 'm6', '6/9', '9',
  'm9', 'maj9', 'dim', 'dim7', 'm7b5', 'aug', '7#5', '5', '7#9', '7b9'];
const tonal_name = { 'mMaj7': 'mMaj7', '6/9': '69', '': 'M', 'madd9': 'madd9' };
for (const root of roots)
  for (const quality of qualities) {
    const chord = Chord.get(root + (tonal_name[quality] ?? quality));
    console.log('chord', root + quality, ...chord.notes);
  }

const majors = ['C', 'G', 'D', 'A', 'E', 'B', 'F#', 'C#', 'F', 'Bb', 'Eb', 'Ab', 'Db', 'Gb', 'Cb'];
for (const tonic of majors) {
  const key = Key.majorKey(tonic);
  console.log('key', tonic, key.alteration, ...key.scale);
}
const minors = ['A', 'E', 'B', 'F#', 'C#', 'G#', 'D#', 'D', 'G', 'C', 'F', 'Bb', 'Eb'];
for (const tonic of minors) {
  const key = Key.minorKey(tonic);
  console.log('minor', tonic + 'm', key.alteration, ...key.natural.scale);
}

const steps = ['1P', '2m', '2M', '3m', '3M', '4P', '4A', '5P', '6m', '6M', '7m', '7M'];
for (const root of roots)
  for (const step of steps)
    console.log('transpose', root, Interval.semitones(step), Number(step[0]), Note.transpose(root, step));

for (const root of roots)
  for (let octave = 0; octave <= 8; ++octave)
    console.log('midi', root + octave, Note.midi(root + octave));
