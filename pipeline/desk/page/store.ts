// The lesson as the server last gave it, and the changes on their way to it: one at a time, each with the digest it began from.
import { api } from "./api";
import { refused } from "./page";
import type { Edit, Film, Lesson, Refused, Run } from "./page";
import { say } from "./say";

export interface Meeting { // of two versions: ours and that of another program
  what: string;
  mine: string;
  theirs: string;
  digest: string;
}

type Told<T> = (value: T) => void;

class Store {
  lesson!: Lesson;
  part: number | null = null;
  saving = 0; // changes that are on their way
  lost = false; // nobody answers
  unsettled = false; // which of two versions is kept was not decided
  settle: (meeting: Meeting) => Promise<"mine" | "theirs" | null> = async () => null;

  private queue: Promise<unknown> = Promise.resolve();
  private lessonTold: Told<Lesson>[] = [];
  private partTold: Told<number | null>[] = [];
  private runTold: Told<Run>[] = [];
  private filmTold: Told<Film>[] = [];
  private stateTold: (() => void)[] = [];
  private reading: Promise<boolean> | null = null;
  private stale = false;
  private wished: number | null = null; // the part that was chosen last

  onLesson(told: Told<Lesson>): void { this.lessonTold.push(told); if (this.lesson) told(this.lesson); }
  onPart(told: Told<number | null>): void { this.partTold.push(told); if (this.lesson) told(this.part); }
  onRun(told: Told<Run>): void { this.runTold.push(told); }
  onFilm(told: Told<Film>): void { this.filmTold.push(told); if (this.lesson) told(this.lesson.film); }
  onState(told: () => void): void { this.stateTold.push(told); told(); }

  select(part: number | null): void {
    if (part !== null && !this.lesson.parts[part]) part = null;
    this.wished = part;
    if (part === this.part) return;
    this.part = part;
    tell(this.partTold, part);
  }

  /** Reads the lesson anew; false where nobody answered. Asked for twice at once, it is read once more after that. */
  read(): Promise<boolean> {
    this.stale = this.reading !== null;
    this.reading ??= (async () => {
      let fine: boolean;
      do {
        this.stale = false;
        const answer = await api.get<Lesson>("lesson");
        fine = !refused(answer);
        this.answered(answer);
        if (!refused(answer)) this.take(answer);
        else if (answer.status !== 0) say(sentence(answer), "bad");
      } while (this.stale);
      this.reading = null;
      return fine;
    })();
    return this.reading;
  }

  private take(lesson: Lesson): void {
    const first = this.lesson === undefined;
    this.lesson = lesson;
    if (first && lesson.parts.length) this.part = 0;
    const before = this.part;
    this.wished = this.part ?? this.wished;
    // A file that cannot be read has no parts: once it can, the part is chosen that was before.
    this.part = this.wished === null || !lesson.parts.length ? null : Math.min(this.wished, lesson.parts.length - 1);
    tell(this.lessonTold, lesson);
    tell(this.filmTold, lesson.film);
    if (this.part !== before) tell(this.partTold, this.part);
  }

  /** Whether the server answers; what is refused is an answer. */
  answered(answer: unknown): void {
    const lost = refused(answer) && answer.status === 0;
    if (lost === this.lost) return;
    this.lost = lost;
    this.changed();
    if (lost) setTimeout(() => this.again(), 1500);
  }

  private async again(): Promise<void> {
    if (!(await this.read())) setTimeout(() => this.again(), 1500);
  }

  edit(what: string, edits: Edit[]): Promise<boolean> {
    return this.change("edit", { what, edits });
  }

  change(path: string, body: object): Promise<boolean> {
    this.saving += 1;
    this.changed();
    const done = this.queue.then(() => this.send(path, body)).finally(() => {
      this.saving -= 1;
      this.changed();
    });
    this.queue = done.catch(() => undefined);
    return done;
  }

  private async send(path: string, body: object): Promise<boolean> {
    const answer = await api.post<{ digest: string; what?: string }>(path, { ...body, base: this.lesson.digest });
    this.answered(answer);
    if (!refused(answer)) {
      this.unsettled = false;
      if (answer.digest !== this.lesson.digest) await this.read();
      if (answer.what && (path === "undo" || path === "redo")) say(`${path === "undo" ? "Undone" : "Done again"}: ${answer.what}`);
      return true;
    }
    if (answer.status === 409) return this.meet(answer);
    say(answer.status === 0 ? "This change was not saved: the desk does not answer." : sentence(answer), "bad");
    return false;
  }

  /** The file is another one than this change began from. */
  private async meet(answer: Refused): Promise<boolean> {
    const { mine, theirs, digest } = answer.body ?? {};
    if (typeof mine !== "string" || typeof theirs !== "string") {
      await this.read();
      say(`${sentence(answer)} This change was not made; the page now shows the new version.`, "bad");
      return false;
    }
    if (mine === theirs) { // another page has settled it
      this.unsettled = false;
      return this.read();
    }
    const keep = await this.settle({ what: sentence({ ...answer, fix: "" }), mine, theirs, digest });
    if (!keep) {
      this.unsettled = true;
      say("This change is not saved. You are asked again at the next change.", "bad");
      return false;
    }
    const settled = await api.post<{ digest: string }>("settle", { keep, mine, theirs: digest });
    this.answered(settled);
    if (refused(settled) && settled.status === 409) return this.meet(settled); // it was changed again
    this.unsettled = refused(settled);
    if (refused(settled)) say(sentence(settled), "bad");
    else if (theirs === "") say("The cue file is written again.");
    else say(keep === "mine" ? "Your version is kept. The other one is among the versions." : "The file's version is kept. Yours is among the versions.");
    await this.read();
    return !refused(settled) && keep === "mine";
  }

  listen(): void {
    const events = new EventSource(api.url("events"));
    const on = <T>(name: string, told: (value: T) => void) =>
      events.addEventListener(name, (event) => told(JSON.parse((event as MessageEvent<string>).data) as T));
    on<{ digest: string }>("lesson", ({ digest }) => { if (digest !== this.lesson.digest) void this.read(); });
    on<Partial<Film>>("film", (film) => {
      const ready = film.state === "ready" && this.lesson.film.state !== "ready";
      this.lesson.film = { ...this.lesson.film, ...film };
      if (ready) void this.read();
      else tell(this.filmTold, this.lesson.film);
    });
    on<{ run: Run } | Run>("run", (run) => tell(this.runTold, "run" in run ? run.run : run));
    on<{ digest: string }>("elsewhere", () => { void this.edit("Look at the file", []); });
    events.onopen = () => { void this.read(); };
    events.onerror = () => {
      void this.read();
      if (events.readyState === EventSource.CLOSED) setTimeout(() => this.listen(), 2000);
    };
  }

  private changed(): void {
    for (const told of this.stateTold) told();
  }
}

/** One that fails must not keep the others from being told. */
function tell<T>(all: Told<T>[], value: T): void {
  for (const told of all) {
    try {
      told(value);
    } catch (failure) {
      reportError(failure);
    }
  }
}

export function sentence(answer: { what: string; fix: string }): string {
  return answer.fix ? `${asSentence(answer.what)} ${asSentence(answer.fix)}` : asSentence(answer.what);
}

/** Messages are made to stand after a file and a line; alone they begin large and end with a full stop. */
export function asSentence(words: string): string {
  return words.replace(/^[a-z](?=[a-z]* )/, (letter) => letter.toUpperCase()) + (/[.!?]$/.test(words) ? "" : ".");
}

export const store = new Store();
