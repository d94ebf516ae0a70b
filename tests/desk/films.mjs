// Films that say on each frame which one it is: sixteen fields along the top are its number in binary.
import {spawn, spawnSync} from 'node:child_process';
import {once} from 'node:events';

const width = 320, height = 180, fields = 16;

function picture(number) {
  const luma = Buffer.alloc(width * height, 100);
  for (let field = 0; field < fields; field++)
    for (let y = 0; y < 60; y++)
      luma.fill((number >> field) & 1 ? 220 : 30, y * width + field * 20, y * width + field * 20 + 20);
  return Buffer.concat([luma, Buffer.alloc(width * height / 2, 128)]);
}

/** Writes such a film of `count` frames. `rate` as ffmpeg takes it; `filter` may drop frames and move times. A tone is its sound. */
export async function numberedFilm(file, {rate, count, filter = 'null', extra = []}) {
  const ffmpeg = spawn('ffmpeg', ['-v', 'error', '-y', '-f', 'rawvideo', '-pix_fmt', 'yuv420p', '-s', `${width}x${height}`, '-r', rate,
                                  '-i', '-', '-f', 'lavfi', '-i', 'sine=220:duration=10', '-vf', filter, '-fps_mode', 'passthrough',
                                  '-c:v', 'libx264', '-preset', 'veryfast', '-crf', '18', '-g', '50', '-bf', '2', '-c:a', 'aac',
                                  '-shortest', ...extra, file],
                       {stdio: ['pipe', 'inherit', 'inherit']});
  const ended = once(ffmpeg, 'exit');
  for (let number = 0; number < count; number++)
    if (!ffmpeg.stdin.write(picture(number))) await once(ffmpeg.stdin, 'drain');
  ffmpeg.stdin.end();
  const [code] = await ended;
  if (code !== 0) throw new Error(`ffmpeg ended with ${code}`);
}

/** The number on the frame that `<video>` shows. */
export function numberOnScreen(page) {
  return page.locator('video').evaluate((video, fields) => {
    const canvas = document.createElement('canvas');
    [canvas.width, canvas.height] = [video.videoWidth, video.videoHeight];
    const context = canvas.getContext('2d');
    context.drawImage(video, 0, 0);
    let number = 0;
    for (let field = 0; field < fields; field++)
      if (context.getImageData(field * 20 + 10, 30, 1, 1).data[1] > 128) number |= 1 << field;
    return number;
  }, fields);
}

/** Times of all frames as ffprobe says them, in seconds, rising. */
export function frameTimes(file) {
  const {stdout} = spawnSync('ffprobe', ['-v', 'error', '-select_streams', 'v', '-show_entries', 'packet=pts_time', '-of', 'csv=p=0', file],
                             {encoding: 'utf8'});
  return stdout.split(/[\s,]+/).filter(Boolean).map(Number).sort((a, b) => a - b);
}

/** What ffprobe says of a film's first picture stream; fails where it cannot read it to its end. */
export function probe(file) {
  const {stdout, status} = spawnSync('ffprobe', ['-v', 'error', '-count_frames', '-show_streams', '-show_format', '-of', 'json', file],
                                     {encoding: 'utf8'});
  if (status !== 0) throw new Error(`ffprobe cannot read ${file}`);
  const {streams, format} = JSON.parse(stdout);
  const video = streams.find(stream => stream.codec_type === 'video');
  return {width: video.width, height: video.height, frames: Number(video.nb_read_frames), seconds: Number(format.duration)};
}
