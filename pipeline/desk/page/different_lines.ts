// Two texts side by side.
export interface Row {
  same: boolean;
  sides: [string | null, string | null]; // null: this side has no such line
}

/** Rows of the longest common sequence of lines. Beyond some thousand changed lines the middle is shown as changed throughout. */
export function differentLines(left: string, right: string): Row[] {
  const a = left.split("\n");
  const b = right.split("\n");
  let head = 0;
  while (head < a.length && head < b.length && a[head] === b[head]) head += 1;
  let tail = 0;
  while (tail < a.length - head && tail < b.length - head && a[a.length - 1 - tail] === b[b.length - 1 - tail]) tail += 1;
  const rows: Row[] = a.slice(0, head).map((line) => ({ same: true, sides: [line, line] }));
  rows.push(...between(a.slice(head, a.length - tail), b.slice(head, b.length - tail)));
  for (const line of a.slice(a.length - tail)) rows.push({ same: true, sides: [line, line] });
  return rows;
}

function between(a: string[], b: string[]): Row[] {
  const rows: Row[] = [];
  const most = 4e6;
  const width = b.length + 1;
  const kept = a.length * b.length <= most ? new Uint16Array((a.length + 1) * width) : null; // lines in common from (i, j) on
  for (let i = a.length - 1; kept && i >= 0; i--)
    for (let j = b.length - 1; j >= 0; j--)
      kept[i * width + j] = a[i] === b[j] ? kept[(i + 1) * width + j + 1]! + 1 : Math.max(kept[(i + 1) * width + j]!, kept[i * width + j + 1]!);
  let [i, j] = [0, 0];
  let gone: string[] = [];
  let come: string[] = [];
  const lay = () => {
    for (let k = 0; k < Math.max(gone.length, come.length); k++)
      rows.push({ same: false, sides: [gone[k] ?? null, come[k] ?? null] });
    gone = [];
    come = [];
  };
  while (i < a.length || j < b.length) {
    if (kept && i < a.length && j < b.length && a[i] === b[j]) {
      lay();
      rows.push({ same: true, sides: [a[i]!, b[j]!] });
      i += 1;
      j += 1;
    } else if (j >= b.length || (i < a.length && (!kept || kept[(i + 1) * width + j]! >= kept[i * width + j + 1]!))) {
      gone.push(a[i++]!);
    } else {
      come.push(b[j++]!);
    }
  }
  lay();
  return rows;
}
