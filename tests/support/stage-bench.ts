/** In the page: large drawings on a real shelf, flipped and scrubbed, for `flip.bench.ts` and `scrub.bench.ts`. */
import { pictureSource } from '../../src/desk/picture-source.ts';
import type { Picture } from '../../src/line/picture.ts';
import { openShelf } from '../../src/shelf/open.ts';
import type { ImageRef } from '../../src/shot/model.ts';
import { nearestFirst } from '../../src/stage/panes.ts';
import type { Compare, PictureSource, Quality } from '../../src/stage/types.ts';
import { codedPicture, type Harness, harness, imageOf, spreadOf } from './stage-harness.ts';

const SIZE_PX = [4096, 2160] as const;
const FPS_OF_STEPS = 60;

/** mulberry32: small and seeded. */
function random(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

/** Loops of soft-edged line over the whole sheet; the middle fifth carries the code that says which it is. */
function lineArt(image: ImageRef, quality: Quality, seed: number): Picture {
  const coded = codedPicture(image, quality);
  const { width, height, data } = coded;
  const next = random(seed);
  data.fill(255, 0, width * Math.floor(height * 0.4));
  data.fill(255, width * Math.ceil(height * 0.6));
  for (let loop = 0; loop < 24; loop++) {
    const [cx, cy] = [next() * width, next() * height];
    const [rx, ry] = [(0.03 + 0.15 * next()) * width, (0.03 + 0.15 * next()) * height];
    const steps = Math.ceil((rx + ry) * 4);
    for (let step = 0; step < steps; step++) {
      const turn = (2 * Math.PI * step) / steps;
      const [x, y] = [Math.round(cx + rx * Math.cos(turn)), Math.round(cy + ry * Math.sin(turn))];
      if (y > height * 0.4 - 2 && y < height * 0.6 + 2) continue;
      for (const [dx, dy, grey] of [
        [0, 0, 0],
        [1, 0, 90],
        [0, 1, 90],
        [-1, 0, 160],
        [0, -1, 160],
      ] as const) {
        const at = (y + dy) * width + x + dx;
        if (x > 1 && x < width - 2 && y > 1 && y < height - 2) data[at] = Math.min(data[at] ?? 255, grey);
      }
    }
  }
  return coded;
}

/** Keeps `count` pairs on this page's shelf, as intake would. */
export async function keepLargeShot(count: number, seed: number): Promise<void> {
  const shelf = await openShelf('bench');
  for (let number = 0; number < count; number++)
    for (const layer of ['clean', 'rough'] as const) {
      const ref = imageOf(layer, number, SIZE_PX);
      const [thumb, flip] = (['thumb', 'flip'] as const).map((quality) =>
        lineArt(ref, quality, seed + number * 2 + (layer === 'clean' ? 0 : 1)),
      ) as [Picture, Picture];
      await shelf.keepImage({ ref, file: new ArrayBuffer(1), thumb, flip });
    }
}

async function shelfSource(): Promise<PictureSource> {
  // As the desk reads it, but for originals: the bench keeps none.
  const source = pictureSource(await openShelf('bench'), new Map());
  return { ...source, full: () => Promise.resolve(undefined) };
}

const nextFrame = () => new Promise<number>((done) => requestAnimationFrame(done));

export interface Scrubbed {
  readonly frames: number;
  readonly blank: number;
  readonly wrong: number;
  /** Steps that some frame showed, and of those the share at flip size or better. */
  readonly stepsShown: number;
  readonly steps: number;
  readonly sharpShare: number;
  readonly peakDecodedBytes: number;
  readonly budgetBytes: number;
}

/**
 * To and fro over the whole shot at 60 steps a second: `cold` from the moment its first drawing is there, else once
 * nothing more is decoded ahead.
 */
export async function scrub(
  count: number,
  seconds: number,
  compare: Compare,
  cold: boolean,
): Promise<Scrubbed> {
  const desk = harness({ sizePx: SIZE_PX, source: await shelfSource() });
  desk.stage.compare(compare);
  const images = Array.from({ length: count }, (_, number) =>
    (['clean', 'rough'] as const).map((layer) => imageOf(layer, number, SIZE_PX)),
  ).flat();
  desk.stage.keepThumbs(images);
  desk.stage.show(spreadOf(0, SIZE_PX));
  await desk.untilShown(({ complete, quality }) => complete && quality !== 'thumb');
  desk.stage.ahead(nearestFirst(count, 0, 1, false).map((number) => spreadOf(number, SIZE_PX)));
  if (!cold) await settled(() => desk.stage.stats().decodedBytes);
  const [before, start] = [desk.shown.length, await nextFrame()];
  const best = new Map<number, boolean>();
  let [frames, shownStep] = [0, -1];
  const steps = seconds * FPS_OF_STEPS;
  for (let step = 0; step < steps; ) {
    const direction = Math.floor(step / count) % 2 ? -1 : 1;
    const at = direction > 0 ? step % count : count - 1 - (step % count);
    if (step !== shownStep) {
      desk.stage.show(spreadOf(at, SIZE_PX));
      desk.stage.ahead(nearestFirst(count, at, direction, false).map((number) => spreadOf(number, SIZE_PX)));
      shownStep = step;
    }
    const now = await nextFrame();
    frames++;
    const last = desk.shown.at(-1);
    if (last?.key === String(at)) best.set(step, (best.get(step) ?? false) || last.quality !== 'thumb');
    step = Math.max(step, Math.floor(((now - start) / 1000) * FPS_OF_STEPS));
  }
  const told = desk.shown.slice(before);
  const { peakDecodedBytes, budgetBytes } = desk.stage.stats();
  desk.stage.destroy();
  return {
    frames,
    blank: told.filter(({ read }) => read === undefined).length,
    wrong: told.filter(({ read, key }) => read !== undefined && String(read.number) !== key).length,
    stepsShown: best.size,
    steps,
    sharpShare: [...best.values()].filter(Boolean).length / Math.max(1, best.size),
    peakDecodedBytes,
    budgetBytes,
  };
}

/** Half a second of frames without change. */
async function settled(value: () => number): Promise<void> {
  let last = value();
  for (let still = 0; still < 30; still++) {
    await nextFrame();
    if (value() !== last) still = 0;
    last = value();
  }
}

let desk: Harness | undefined;

/** Two drawings of the kept shot, clean and rough, warm. */
export async function openWarm(): Promise<void> {
  desk = harness({ sizePx: SIZE_PX, source: await shelfSource() });
  for (const way of ['rough', 'clean'] as const)
    for (const number of [0, 1]) {
      desk.stage.compare({ way });
      desk.stage.show(spreadOf(number, SIZE_PX));
      await desk.untilShown(
        (shown) => shown.way === way && shown.key === String(number) && shown.quality !== 'thumb',
      );
    }
  desk.onlyTell();
}

/** Main-thread ms of each of `count` flips to and fro, from the call until one pixel of it can be read back. */
export async function flipWarm(count: number, compare: Compare = { way: 'clean' }): Promise<number[]> {
  const gl = desk?.canvas.getContext('webgl2');
  if (!desk || !gl) throw new Error('The warm stage has no WebGL2.');
  const { stage } = desk;
  // A way seen for the first time makes its shaders.
  stage.compare(compare);
  await nextFrame();
  await nextFrame();
  const pixel = new Uint8Array(4);
  return timed(
    count,
    (flip) => stage.show(spreadOf(flip % 2, SIZE_PX)),
    () => gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel),
  );
}

/** Asks for a flip, lets the frame draw it, and waits for the pixels, all within one animation frame. */
async function timed(count: number, ask: (flip: number) => void, wait: () => void): Promise<number[]> {
  const tookMs: number[] = [];
  for (let flip = 0; flip < count; flip++) {
    const beforeAsking = performance.now();
    let startMs = 0;
    const started = new Promise<void>((done) =>
      requestAnimationFrame(() => {
        startMs = performance.now();
        done();
      }),
    );
    ask(flip);
    const askedMs = performance.now() - beforeAsking;
    const ended = new Promise<number>((done) =>
      requestAnimationFrame(() => {
        wait();
        done(performance.now());
      }),
    );
    await started;
    tookMs.push(askedMs + (await ended) - startMs);
  }
  return tookMs;
}

let bare: { context: CanvasRenderingContext2D; bitmaps: ImageBitmap[] } | undefined;

/** The bare page: a canvas of the same size, and the same two drawings as full-size decoded bitmaps. */
export async function openBare(seed: number): Promise<void> {
  const canvas = document.createElement('canvas');
  canvas.width = innerWidth * devicePixelRatio;
  canvas.height = innerHeight * devicePixelRatio;
  canvas.style.cssText = 'position:fixed;inset:0;width:100%;height:100%';
  document.body.replaceChildren(canvas);
  const context = canvas.getContext('2d', { alpha: false });
  if (!context) throw new Error('No 2D canvas here.');
  const bitmaps = await Promise.all(
    [0, 1].map((number) => {
      const { width, height, data } = lineArt(imageOf('clean', number, SIZE_PX), 'full', seed + number * 2);
      const rgba = new Uint8ClampedArray(width * height * 4).fill(255);
      for (let pixel = 0; pixel < data.length; pixel++)
        if (data[pixel] !== 255) rgba.fill(data[pixel] as number, pixel * 4, pixel * 4 + 3);
      return createImageBitmap(new ImageData(rgba, width, height));
    }),
  );
  bare = { context, bitmaps };
}

export async function flipBare(count: number): Promise<number[]> {
  if (!bare) throw new Error('The bare page is not open.');
  const { context, bitmaps } = bare;
  const { width, height } = context.canvas;
  const scale = Math.min(width / SIZE_PX[0], height / SIZE_PX[1]);
  const [w, h] = [SIZE_PX[0] * scale, SIZE_PX[1] * scale];
  const draw = (flip: number) => {
    context.fillRect(0, 0, width, height);
    context.drawImage(bitmaps[flip % 2] as ImageBitmap, (width - w) / 2, (height - h) / 2, w, h);
  };
  return timed(
    count,
    (flip) => requestAnimationFrame(() => draw(flip)),
    () => context.getImageData(0, 0, 1, 1),
  );
}
