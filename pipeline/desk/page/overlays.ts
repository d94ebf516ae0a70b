// What lies over the film: scenes in windows around the play head, and their layers, each fetched once.
import { api } from "./api";
import { refused } from "./page";

interface Scenes {
  digest: string;
  layers: string[];
  scenes: number[][];
  runs: [number, number, number][];
}

interface Layer {
  image: ImageBitmap | null; // null: nothing is inked
  place: [number, number, number, number];
  used: number;
}

const windowSeconds = 10;
const mostPixels = 40e6; // of layers that are kept: 160 MB
const atOnce = 3; // a browser has six connections to one place

export class Overlays {
  private windows = new Map<number, Scenes>();
  private old = new Map<number, Scenes>(); // of the version before, until this one's are there
  private asked = new Set<number>();
  private layers = new Map<string, Layer>();
  private waiting: string[] = [];
  private fetching = new Set<string>();
  private version = "";
  private pixels = 0;
  private count = 0;
  private drawn: number[] | null = null;
  private drawnOf = ""; // the version that it belongs to
  private drawnWhole = false;
  private looked = NaN; // the second whose layers were looked after last

  /** `changed`: what is on screen may have to be drawn again. */
  constructor(private changed: () => void) {}

  take(version: string): void {
    if (version === this.version) return;
    this.version = version;
    for (const [at, window] of this.windows) this.old.set(at, window);
    this.windows.clear();
    this.asked.clear();
    this.waiting = [];
  }

  /** Whether what was drawn last is of the version that was taken last. */
  get current(): boolean { return this.drawnOf === this.version; }

  /** Fetches what `time` needs, and then what comes after it. */
  prepare(time: number): void {
    const at = Math.floor(time / windowSeconds);
    void this.fetchWindow(at, time).then(() => this.fetchWindow(at + 1, time));
    const second = Math.floor(time);
    if (second === this.looked) return;
    this.looked = second; // layers that were dropped to make room may be needed again
    for (const window of [this.windows.get(at), this.windows.get(at + 1)])
      if (window) this.wantOf(window, time, time + 4);
  }

  private async fetchWindow(at: number, time: number): Promise<void> {
    const version = this.version;
    if (!version || this.asked.has(at)) return;
    this.asked.add(at);
    const answer = await api.get<Scenes>(`scenes?from=${at * windowSeconds}&to=${(at + 1) * windowSeconds}`);
    if (version !== this.version) return;
    if (refused(answer)) {
      setTimeout(() => {
        if (version === this.version) this.asked.delete(at);
        this.changed();
      }, 2000);
      return;
    }
    this.windows.set(at, answer);
    this.old.delete(at);
    this.wantOf(answer, time, Infinity); // what the play head comes to first
    for (const layer of answer.layers) this.want(layer);
    this.drawn = null;
    this.changed();
  }

  private wantOf({ runs, scenes, layers }: Scenes, from: number, to: number): void {
    for (const [begin, end, scene] of runs)
      if (end > from && begin < to)
        for (let i = 0; i < scenes[scene]!.length; i += 2) this.want(layers[scenes[scene]![i]!]!);
  }

  private want(digest: string): void {
    if (this.layers.has(digest) || this.fetching.has(digest) || this.waiting.includes(digest)) return;
    this.waiting.push(digest);
    void this.fetchLayers();
  }

  private async fetchLayers(): Promise<void> {
    while (this.fetching.size < atOnce && this.waiting.length) {
      const digest = this.waiting.shift()!;
      this.fetching.add(digest);
      void this.fetchLayer(digest).catch(() => undefined).finally(() => {
        this.fetching.delete(digest);
        void this.fetchLayers();
      });
    }
  }

  private async fetchLayer(digest: string): Promise<void> {
    const answer = await api.bytes(`layer/${digest}`);
    if (refused(answer)) return;
    if (answer.status === 204) {
      this.layers.set(digest, { image: null, place: [0, 0, 0, 0], used: this.count });
    } else {
      const place = (answer.headers.get("Tabard-Place") ?? "").split(" ").map(Number);
      const image = await createImageBitmap(await answer.blob());
      this.makeRoom(image.width * image.height);
      this.layers.set(digest, { image, place: [place[0] ?? 0, place[1] ?? 0, place[2] ?? 0, place[3] ?? 0], used: this.count });
    }
    this.drawn = null;
    this.changed();
  }

  private makeRoom(pixels: number): void {
    this.pixels += pixels;
    if (this.pixels <= mostPixels) return;
    for (const [digest, layer] of [...this.layers].sort((a, b) => a[1].used - b[1].used)) {
      if (this.pixels <= mostPixels * 0.8) break;
      if (!layer.image) continue;
      this.pixels -= layer.image.width * layer.image.height;
      layer.image.close();
      this.layers.delete(digest);
    }
  }

  /** The scene of the frame at `time`; null: not known yet. */
  private sceneAt(time: number): { scenes: Scenes; scene: number[] } | null {
    const at = Math.floor(time / windowSeconds);
    const scenes = this.windows.get(at) ?? this.old.get(at);
    if (!scenes) return null;
    const { runs } = scenes;
    let low = 0;
    let high = runs.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (runs[middle]![0] <= time + 0.0005) low = middle + 1;
      else high = middle;
    }
    const run = runs[low - 1];
    return { scenes, scene: run && time < run[1] - 0.0005 ? scenes.scenes[run[2]] ?? [] : [] };
  }

  /** Draws the overlays of the frame at `time`; film pixels times `scale` are canvas pixels. True: everything is there. */
  draw(canvas: HTMLCanvasElement, time: number, scale: number, fresh: boolean): boolean {
    const found = this.sceneAt(time);
    if (!found) return false;
    this.drawnOf = found.scenes.digest;
    if (!fresh && this.drawn === found.scene && this.drawnWhole) return true;
    const pen = canvas.getContext("2d")!;
    pen.clearRect(0, 0, canvas.width, canvas.height);
    pen.imageSmoothingQuality = "high"; // as the browser scales the film and its stills
    this.count += 1;
    let whole = true;
    for (let i = 0; i + 1 < found.scene.length; i += 2) {
      const digest = found.scenes.layers[found.scene[i]!] ?? "";
      const layer = this.layers.get(digest);
      if (!layer) {
        whole = false;
        if (digest) this.wantFirst(digest);
        continue;
      }
      layer.used = this.count;
      if (!layer.image) continue;
      const [x, y, width, height] = layer.place;
      pen.globalAlpha = found.scene[i + 1]! / 8;
      pen.drawImage(layer.image, x * scale, y * scale, width * scale, height * scale);
    }
    this.drawn = found.scene;
    this.drawnWhole = whole;
    return whole;
  }

  private wantFirst(digest: string): void {
    if (this.fetching.has(digest)) return;
    this.waiting = this.waiting.filter((other) => other !== digest);
    this.waiting.unshift(digest);
    void this.fetchLayers();
  }
}
