// The film as it plays. A frame is named by its place in the list of frame times that the server gives; times that are told
// are of that list, never what the browser's clock says.
import { api } from "./api";
import { refused } from "./page";
import type { Film, Player } from "./page";

export class FilmPlayer implements Player {
  readonly video = document.createElement("video");
  frames = new Float64Array(0);
  seeking = false;

  private film: Film | null = null;
  private index = 0; // of the frame that is on screen, or is about to be
  private looped: [number, number] | null = null;
  private without = 0; // the time that is looked at while there is no film
  private wanted: number | null = null; // a frame to go to once the seek before it has ended
  private told: ((time: number) => void)[] = [];
  private toldState: (() => void)[] = [];
  private loaded = "";
  private last = { time: 0, moment: 0 }; // the frame that was shown last, and when
  private stopping = false; // the frame that stays at a pause may be told after it

  constructor() {
    const video = this.video;
    video.preload = "auto";
    video.playsInline = true;
    video.disablePictureInPicture = true;
    video.preservesPitch = true;
    video.tabIndex = -1;
    for (const name of ["play", "pause", "ended", "ratechange", "volumechange", "loadedmetadata", "error", "waiting", "playing"])
      video.addEventListener(name, () => this.changed());
    video.addEventListener("ended", () => { if (this.loop) void this.seek(this.loop[0]).then(() => this.play()); });
    // What was asked for before the film could be read.
    video.addEventListener("loadedmetadata", () => { if (this.index > 0) void this.go(this.index); });
    video.addEventListener("pause", () => { this.stopping = true; });
    video.addEventListener("play", () => { this.last = { time: this.time, moment: performance.now() }; });
    this.watch();
  }

  get time(): number { return this.frames[this.index] ?? this.without; }
  get playing(): boolean { return !this.video.paused && !this.video.ended; }
  get rate(): number { return this.video.playbackRate; }
  set rate(rate: number) { this.video.defaultPlaybackRate = this.video.playbackRate = rate; }
  get loop(): [number, number] | null { return this.looped; }
  set loop(loop: [number, number] | null) {
    this.looped = loop;
    this.changed();
  }
  get usable(): boolean { return this.frames.length > 0 && this.loaded !== ""; }

  /** The film of the lesson. Nothing happens where it is the one before. */
  async take(film: Film): Promise<void> {
    this.film = film;
    const name = film.state === "ready" ? `${film.name} ${film.width} ${film.height} ${film.start} ${film.end}` : "";
    if (name === this.loaded) return;
    this.loaded = name;
    this.frames = new Float64Array(0);
    this.index = 0;
    if (!name) {
      this.video.removeAttribute("src");
      this.video.load();
    } else {
      this.video.src = api.url(`film?of=${encodeURIComponent(film.name)}`);
      await this.readFrames(name);
    }
    this.changed();
  }

  private async readFrames(name: string): Promise<void> {
    for (let wait = 100; this.loaded === name; wait = Math.min(2 * wait, 2000)) {
      const answer = await api.bytes("frames");
      if (!refused(answer) && answer.status === 200) {
        const bytes = await answer.arrayBuffer().catch(() => new ArrayBuffer(0));
        if (this.loaded === name) this.frames = new Float64Array(bytes.slice(0, bytes.byteLength - (bytes.byteLength % 8)));
        break;
      }
      if (refused(answer) && answer.status !== 0) break;
      await new Promise((goOn) => setTimeout(goOn, wait));
    }
    if (this.loaded === name) this.show(0);
  }

  /** Which frame is on screen at `time`: the last that begins by then. */
  frameAt(time: number): number {
    let low = 0;
    let high = this.frames.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.frames[middle]! <= time + 0.0005) low = middle + 1;
      else high = middle;
    }
    return Math.max(0, low - 1);
  }

  /** The time of the frame nearest to `time`. */
  snap(time: number): number { return this.frames[this.nearest(time)] ?? time; }

  private nearest(time: number): number {
    const before = this.frameAt(time);
    const after = Math.min(before + 1, this.frames.length - 1);
    return Math.abs(this.frames[after]! - time) < Math.abs(this.frames[before]! - time) ? after : before;
  }

  /** `share` of the way through a frame's time on screen. */
  private inside(index: number, share: number): number {
    const begin = this.frames[index]!;
    const end = this.frames[index + 1] ?? begin + 1 / (this.film?.rate || 25);
    return begin + share * (end - begin);
  }

  async play(): Promise<void> {
    if (!this.usable) return;
    if (this.index >= this.frames.length - 1) await this.seek(this.loop ? this.loop[0] : this.frames[0]!);
    await this.video.play().catch(() => undefined);
  }

  pause(): void { this.video.pause(); }

  async seek(time: number): Promise<void> {
    if (this.frames.length) return this.go(this.frameAt(time));
    this.without = Math.max(0, time);
    this.show(0);
  }

  async step(frames: number): Promise<void> {
    if (!this.frames.length) return;
    this.pause();
    await this.go(Math.max(0, Math.min(this.frames.length - 1, this.index + frames)));
  }

  /** One seek at a time; of those asked for meanwhile the last counts. */
  private async go(index: number): Promise<void> {
    this.stopping = false;
    this.show(index);
    this.wanted = index;
    if (this.seeking) return;
    this.seeking = true;
    while (this.wanted !== null) {
      const to: number = this.wanted;
      this.wanted = null;
      await this.seekVideo(this.inside(to, 0.5));
    }
    this.seeking = false;
    this.last = { time: this.time, moment: performance.now() };
    this.changed();
  }

  private seekVideo(time: number): Promise<void> {
    const video = this.video;
    if (video.readyState === 0 || Math.abs(video.currentTime - time) < 1e-6) return Promise.resolve();
    return new Promise((done) => {
      const end = () => {
        clearTimeout(late);
        video.removeEventListener("seeked", end);
        done();
      };
      const late = setTimeout(end, 4000); // a film that cannot be read on must not stop the page
      video.addEventListener("seeked", end);
      video.currentTime = time;
    });
  }

  private show(index: number): void {
    this.index = index;
    const time = this.time;
    for (const told of this.told) told(time);
  }

  onFrame(told: (time: number) => void): () => void {
    this.told.push(told);
    return () => { this.told = this.told.filter((other) => other !== told); };
  }

  timeAt(moment: number): number {
    if (!this.playing) return this.time;
    const since = Math.min((moment - this.last.moment) / 1000, 0.5); // a film that halts to load does not go on meanwhile
    return this.last.time + since * this.rate;
  }

  /** Play, pause, rate, volume, film: anything but the frame. */
  onState(told: () => void): void { this.toldState.push(told); }

  private changed(): void { for (const told of this.toldState) told(); }

  private watch(): void {
    const video = this.video;
    const next = "requestVideoFrameCallback" in video
      ? () => video.requestVideoFrameCallback((_, frame) => {
          next();
          this.shown(frame.mediaTime, frame.expectedDisplayTime);
        })
      : () => requestAnimationFrame((now) => {
          next();
          if (this.playing) this.shown(this.frames[this.frameAt(this.video.currentTime)] ?? 0, now);
        });
    next();
  }

  private shown(time: number, moment: number): void {
    this.last = { time, moment };
    // While the film stands, the frame is the one that was asked for; what is told late is of a seek before.
    if (!this.frames.length || this.seeking || !(this.playing || this.stopping)) return;
    this.show(this.nearest(time));
    if (this.playing && this.loop && this.time >= this.loop[1] - 0.0005) void this.seek(this.loop[0]);
  }
}
