// What was typed and is not in the file yet: waited for before something reads the file, and warned of when the page closes.

const saving = new Set<Promise<unknown>>();
const fields = new Set<() => boolean>();

/** Notes that `work` writes to the file. */
export function writing(work: Promise<unknown>): void {
  saving.add(work);
  void work.finally(() => saving.delete(work));
}

/** When all that was left is in the file, or was refused. */
export async function written(): Promise<void> {
  while (saving.size) await Promise.allSettled([...saving]);
}

/** `unsaved`: whether a field holds what the file does not. */
export function watch(unsaved: () => boolean): void {
  fields.add(unsaved);
}

addEventListener("beforeunload", (event) => {
  if (saving.size || [...fields].some((unsaved) => unsaved())) event.preventDefault();
});
