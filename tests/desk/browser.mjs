// A browser as a teacher has it, and what is seen in it.
import fs from 'node:fs';
import path from 'node:path';
import {createRequire} from 'node:module';
import {fileURLToPath} from 'node:url';
import {atEnd} from './desk.mjs';

const require = createRequire(fileURLToPath(new URL('../../build/outside/', import.meta.url)));
const {chromium} = require('playwright-core');
export const axeSource = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

/** Debian's browser: the one that npm would fetch plays no H.264. */
export async function openBrowser(t, args = []) {
  const browser = await chromium.launch({
    executablePath: process.env.TABARD_CHROMIUM ?? '/usr/bin/chromium-headless-shell',
    args: ['--autoplay-policy=no-user-gesture-required', ...args],
  });
  atEnd(t, () => browser.close());
  return browser;
}

/** A page of the desk, ready to be used. `page.faults` are what scripts threw and what the console called an error;
 *  `page.asked` the addresses that it asked for. */
export async function openPage(t, browser, desk, {width = 1440, height = 900, colorScheme = 'light'} = {}) {
  const context = await browser.newContext({viewport: {width, height}, colorScheme, acceptDownloads: true});
  atEnd(t, () => context.close().catch(() => {}));
  const page = await context.newPage();
  page.setDefaultTimeout(30_000);
  page.faults = [];
  page.asked = [];
  page.on('pageerror', error => page.faults.push(String(error)));
  page.on('console', message => { if (message.type() === 'error') page.faults.push(message.text()); });
  page.on('request', request => page.asked.push(request.url()));
  await page.goto(desk.url);
  return page;
}

/** The frame that `<video>` shows, as PNG in base64, drawn as large as the film is; `scale` smaller. */
export function frameOnScreen(page, scale = 1) {
  return page.locator('video').evaluate((video, scale) => {
    const canvas = document.createElement('canvas');
    canvas.width = Math.round(video.videoWidth * scale);
    canvas.height = Math.round(video.videoHeight * scale);
    canvas.getContext('2d').drawImage(video, 0, 0, canvas.width, canvas.height);
    return canvas.toDataURL('image/png').split(',')[1];
  }, scale);
}

/** Compares pictures in a browser of its own page, since node has no decoder. */
export class Pictures {
  static async open(t, browser) {
    const pictures = new Pictures();
    pictures.page = await browser.newPage();
    atEnd(t, () => pictures.page.close().catch(() => {}));
    return pictures;
  }

  /** Mean difference of the channels, 0 to 255, of two PNGs (Buffer or base64); the second is scaled to the first's size.
   *  `grid`: of the worst square of so many in a row instead, so that a small fault is not lost in a large picture.
   *  `blur`: pixels by which both are blurred first, which leaves out what scaling in two ways does to thin lines. */
  difference(one, other, grid = 1, blur = 0) {
    return this.page.evaluate(async ([one, other, grid, blur]) => {
      const load = data => new Promise((resolve, reject) => {
        const image = new Image();
        image.onload = () => resolve(image);
        image.onerror = () => reject(new Error('no picture'));
        image.src = 'data:image/png;base64,' + data;
      });
      const [a, b] = [await load(one), await load(other)];
      const pixels = image => {
        const canvas = document.createElement('canvas');
        [canvas.width, canvas.height] = [a.width, a.height];
        const context = canvas.getContext('2d');
        context.imageSmoothingQuality = 'high';
        context.drawImage(image, 0, 0, a.width, a.height);
        if (blur) {
          context.filter = `blur(${blur}px)`;
          context.drawImage(canvas, 0, 0);
        }
        return context.getImageData(0, 0, a.width, a.height).data;
      };
      const [p, q] = [pixels(a), pixels(b)];
      const sums = new Float64Array(grid * grid), counts = new Float64Array(grid * grid);
      for (let y = 0; y < a.height; y++)
        for (let x = 0; x < a.width; x++) {
          const square = Math.floor(y * grid / a.height) * grid + Math.floor(x * grid / a.width), at = 4 * (y * a.width + x);
          sums[square] += Math.abs(p[at] - q[at]) + Math.abs(p[at + 1] - q[at + 1]) + Math.abs(p[at + 2] - q[at + 2]);
          counts[square] += 3;
        }
      return Math.max(...sums.map((sum, square) => sum / counts[square]));
    }, [base64(one), base64(other), grid, blur]);
  }
}

const base64 = picture => typeof picture === 'string' ? picture : Buffer.from(picture).toString('base64');

/** Screenshots for a person to look at. */
export function screenshot(page, folder, name) {
  const place = path.join(folder, 'desk_screenshots');
  fs.mkdirSync(place, {recursive: true});
  return page.screenshot({path: path.join(place, name + '.png')});
}
