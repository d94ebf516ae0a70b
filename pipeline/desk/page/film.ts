// The film with its overlays: live while it plays, and the exact frame of the renderer where it stands.
import { api } from "./api";
import { Overlays } from "./overlays";
import { el } from "./page";
import type { Film, Lesson } from "./page";
import type { FilmPlayer } from "./player";

export class FilmView {
  readonly element: HTMLElement;
  private readonly canvas = el("canvas", { "aria-hidden": "true" });
  private still = el("img", { class: "still", alt: "", hidden: true });
  private readonly picture: HTMLElement;
  private readonly note = el("div", { class: "film-note", role: "status", hidden: true });
  private readonly old = el("div", { class: "film-old", role: "status" });
  private readonly overlays = new Overlays(() => this.draw());
  private lesson: Lesson | null = null;
  private scale = 1;
  private fresh = true;
  private waiting = 0;
  private asked = ""; // the still that belongs to what is on screen; empty while the film plays
  private fetching = false;

  constructor(private readonly player: FilmPlayer) {
    this.picture = el("div", { class: "picture" }, player.video, this.canvas, this.still);
    this.element = el("section", { class: "film", "aria-label": "Film" }, this.picture, this.note, this.old);
    this.picture.addEventListener("click", () => (player.playing ? player.pause() : void player.play()));
    new ResizeObserver(() => this.fit()).observe(this.element);
    player.onFrame(() => this.draw());
    player.onState(() => this.draw());
    player.video.addEventListener("loadedmetadata", () => this.fit());
    player.video.addEventListener("error", () => { if (this.lesson) this.remark(); });
  }

  take(lesson: Lesson): void {
    this.lesson = lesson;
    this.overlays.take(lesson.drawn);
    this.remark();
    this.takeFilm(lesson.film);
    this.fit();
  }

  takeFilm(film: Film): void {
    const words = filmWords(film);
    this.note.hidden = words === "";
    this.picture.hidden = words !== "";
    this.note.replaceChildren();
    if (!words) return;
    this.note.append(el("p", {}, words));
    if (film.state === "making") this.note.append(el("progress", { max: 1, value: film.share, "aria-label": "Share of the film that is ready" }));
    if (film.why && film.state !== "making") this.note.append(el("p", { class: "quiet" }, film.why));
  }

  /** What is not as one would expect of the picture. */
  private remark(): void {
    const { broken, drawn, film } = this.lesson!;
    const words = [];
    if (broken && drawn) words.push("This is the version before: the lesson as it is now cannot be drawn. See Findings.");
    if (broken && !drawn) words.push("The lesson cannot be drawn yet. See Findings.");
    if (this.player.video.error && film.state === "ready") words.push(`This browser cannot play ${film.name}: you see its frames, but not how it moves.`);
    this.old.hidden = words.length === 0;
    if (this.old.textContent !== words.join(" ")) this.old.textContent = words.join(" ");
  }

  /** The largest box of the film's shape that has room. */
  private fit(): void {
    const film = this.lesson?.film;
    const room = this.element.getBoundingClientRect();
    if (!film || !film.width || !film.height || !room.width) return;
    const height = room.height || (room.width * film.height) / film.width;
    const scale = Math.min(room.width / film.width, height / film.height);
    const [wide, high] = [Math.floor(film.width * scale), Math.floor(film.height * scale)];
    this.picture.style.width = `${wide}px`;
    this.picture.style.height = `${high}px`;
    // The size of the stills, so that the browser scales both alike; of a film that is much larger than it is shown, that shown.
    const shown = Math.round(wide * devicePixelRatio);
    this.canvas.width = film.width > 1.5 * shown ? shown : film.width;
    this.canvas.height = Math.round((film.height * this.canvas.width) / film.width);
    this.scale = this.canvas.width / film.width;
    this.fresh = true;
    this.draw();
  }

  private draw(): void {
    if (!this.lesson || !this.player.usable) return;
    const time = this.player.time;
    this.overlays.prepare(time);
    const whole = this.overlays.draw(this.canvas, time, this.scale, this.fresh);
    if (whole) this.fresh = false;
    // After an edit the live overlays are there first.
    if (whole && this.overlays.current && !this.still.hidden && this.still.dataset["drawn"] !== this.lesson.drawn) this.hideStill();
    this.element.dataset["time"] = time.toFixed(6); // what is on screen, for whoever looks from outside
    this.element.dataset["whole"] = String(whole);
    if (whole && performance.getEntriesByName("first overlay").length === 0) performance.mark("first overlay");
    this.placeStill(time);
  }

  private placeStill(time: number): void {
    const stands = !this.player.playing;
    const wanted = stands ? this.stillOf(time) : "";
    if (wanted === this.asked) return;
    this.asked = wanted;
    clearTimeout(this.waiting);
    // After an edit the frame before stays until the new one is there; after a seek it would be the wrong one.
    if (!wanted || this.still.dataset["time"] !== String(time)) this.hideStill();
    if (wanted) this.waiting = window.setTimeout(() => void this.fetchStills(), 80);
  }

  private stillOf(time: number): string {
    const { drawn, film } = this.lesson!;
    const width = this.canvas.width < film.width ? `&width=${this.canvas.width}` : "";
    return `still?time=${time.toFixed(6)}&digest=${drawn}${width}`;
  }

  /** One at a time, always the last that was asked for: a still is work for the server, and frames are passed quickly. */
  private async fetchStills(): Promise<void> {
    if (this.fetching) return;
    this.fetching = true;
    for (let got = ""; this.asked && this.asked !== got;) {
      if (this.player.seeking) {
        await new Promise((later) => setTimeout(later, 40));
        continue;
      }
      got = this.asked;
      await this.fetchStill(got, this.player.time, this.lesson!.drawn);
    }
    this.fetching = false;
  }

  private async fetchStill(wanted: string, time: number, drawn: string): Promise<void> {
    const image = el("img", { class: "still", alt: "", src: api.url(wanted) });
    try {
      await image.decode();
    } catch {
      if (this.asked === wanted) this.asked = ""; // the live overlays stay; it is asked for again when next something changes
      return;
    }
    if (this.asked !== wanted) return;
    image.dataset["time"] = String(time);
    image.dataset["drawn"] = drawn;
    this.still.replaceWith(image);
    this.still = image;
    this.element.dataset["still"] = time.toFixed(6);
    this.element.dataset["drawn"] = drawn;
  }

  private hideStill(): void {
    this.still.hidden = true;
    delete this.still.dataset["time"];
    delete this.element.dataset["still"];
  }
}

function filmWords(film: Film): string {
  switch (film.state) {
    case "ready": return "";
    case "making": return `The browser cannot play ${film.name} as it is: a copy that it can play is being made (${Math.floor(100 * film.share)} %).`;
    case "missing": return film.name ? `The film ${film.name} is not beside the lesson.` : "No film is named that can be shown.";
    default: return `The film ${film.name} cannot be shown.`;
  }
}
