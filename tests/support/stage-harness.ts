/**
 * In the page: a stage with drawings whose pixels say which drawing, layer and size they are, and a log of
 * what the stage told. Blocks of black and white run across each drawing: layer (1 bit), number (8 bits),
 * size (2 bits), then always black, always white.
 */
import type { Picture } from '../../src/line/picture.ts';
import type { ImageRef } from '../../src/shot/model.ts';
import { createStage } from '../../src/stage/stage.ts';
import type {
  PenPoint,
  PictureSource,
  Quality,
  Shown,
  Spread,
  Stage,
  StageOptions,
} from '../../src/stage/types.ts';

const BLOCKS = 13;
const QUALITIES: readonly Quality[] = ['thumb', 'flip', 'full'];
const LONG_EDGE = { thumb: 320, flip: 2048, full: Number.POSITIVE_INFINITY };

interface ReadBack {
  readonly layer: 'clean' | 'rough';
  readonly number: number;
  readonly quality: Quality;
}

export function imageOf(
  layer: 'clean' | 'rough',
  number: number,
  sizePx: readonly [number, number],
): ImageRef {
  const [width, height] = sizePx;
  return { sha256: `${layer} ${number}`, width, height, mediaType: 'image/png', byteLength: 1 };
}

export function spreadOf(number: number, sizePx: readonly [number, number]): Spread {
  return {
    key: String(number),
    clean: [imageOf('clean', number, sizePx)],
    rough: [imageOf('rough', number, sizePx)],
    ghosts: [],
  };
}

/** Black (true) and white blocks from left to right. */
function bitsOf({ layer, number, quality }: ReadBack): boolean[] {
  const bits = (value: number, count: number) =>
    Array.from({ length: count }, (_, index) => ((value >> (count - 1 - index)) & 1) === 1);
  return [layer === 'rough', ...bits(number, 8), ...bits(QUALITIES.indexOf(quality) + 1, 2), true, false];
}

export function codedPicture(image: ImageRef, quality: Quality): Picture {
  const scale = Math.min(1, LONG_EDGE[quality] / Math.max(image.width, image.height));
  const [width, height] = [Math.round(image.width * scale), Math.round(image.height * scale)];
  const [layer, number] = image.sha256.split(' ') as ['clean' | 'rough', string];
  const bits = bitsOf({ layer, number: Number(number), quality });
  const row = Uint8Array.from({ length: width }, (_, x) =>
    bits[Math.floor((x * BLOCKS) / width)] ? 0 : 255,
  );
  const data = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) data.set(row, y * width);
  return { width, height, channels: 1, data };
}

export interface HarnessOptions extends StageOptions {
  readonly sizePx?: readonly [number, number];
  /** Ms each answer takes; `undefined` for a size never comes. */
  readonly delayMs?: Partial<Record<Quality, number>>;
  readonly source?: PictureSource;
}

export type Told =
  | { readonly kind: 'flip'; readonly steps: number }
  | { readonly kind: 'hold'; readonly down: boolean }
  | { readonly kind: 'tap'; readonly paper: readonly [number, number] }
  | { readonly kind: 'wipe'; readonly at: number }
  | { readonly kind: 'pen'; readonly phase: string; readonly points: readonly PenPoint[] }
  | { readonly kind: 'hover' | 'pen seen' | 'lost' | 'restored' };

export interface Harness {
  readonly stage: Stage;
  readonly canvas: HTMLCanvasElement;
  readonly told: Told[];
  /** Every `shown`, with what the pixels said in that same frame. */
  readonly shown: (Shown & { readonly read: ReadBack | undefined })[];
  /** Requests that were aborted before they were answered. */
  readonly aborted: string[];
  /** RGB of the stage at points, CSS px, as drawn in the next frame. */
  pixels(points: readonly (readonly [number, number])[]): Promise<[number, number, number][]>;
  /** What the drawing on screen says it is, read in the next frame. */
  code(): Promise<ReadBack | undefined>;
  untilShown(test: (shown: Shown) => boolean): Promise<Shown>;
  /** From here on pixels are no longer read back: reading waits for the graphics card. */
  onlyTell(): void;
}

function codedSource(options: HarnessOptions, aborted: string[]): PictureSource {
  const answer = <T>(quality: Quality, image: ImageRef, signal: AbortSignal, make: () => T | Promise<T>) =>
    new Promise<T>((resolve, reject) => {
      const timer = setTimeout(() => resolve(make()), options.delayMs?.[quality] ?? 0);
      signal.addEventListener('abort', () => {
        clearTimeout(timer);
        aborted.push(`${quality} ${image.sha256}`);
        reject(signal.reason as Error);
      });
    });
  return {
    thumb: (image, signal) => answer('thumb', image, signal, () => codedPicture(image, 'thumb')),
    flip: (image, signal) => answer('flip', image, signal, () => codedPicture(image, 'flip')),
    full: (image, signal) =>
      answer('full', image, signal, () => {
        const { width, height, data } = codedPicture(image, 'full');
        const rgba = new Uint8ClampedArray(width * height * 4).fill(255);
        for (let pixel = 0; pixel < data.length; pixel++)
          rgba.fill(data[pixel] as number, pixel * 4, pixel * 4 + 3);
        return createImageBitmap(new ImageData(rgba, width, height));
      }),
  };
}

/** Columns of one colour each, the same at every size: `columns[sha256]` lists R, G, B, A of each. */
export function columnSource(
  columns: Readonly<Record<string, readonly (readonly [number, number, number, number])[]>>,
): PictureSource {
  const picture = (image: ImageRef): Promise<Picture | undefined> => {
    const list = columns[image.sha256];
    if (!list) return Promise.resolve(undefined);
    const { width, height } = image;
    const data = new Uint8Array(width * height * 4);
    for (let pixel = 0; pixel < width * height; pixel++)
      data.set(list[Math.floor(((pixel % width) * list.length) / width)] ?? [], pixel * 4);
    return Promise.resolve({ width, height, channels: 4, data });
  };
  return { thumb: picture, flip: picture, full: () => Promise.resolve(undefined) };
}

/** Upright black lines `weightPx` wide, `apartPx` from one to the next, in images of any size. */
export function lineSource(weightPx: number, apartPx: number): PictureSource {
  const picture = ({ width, height }: ImageRef): Promise<Picture> => {
    const row = Uint8Array.from({ length: width }, (_, x) => (x % apartPx < weightPx ? 0 : 255));
    const data = new Uint8Array(width * height);
    for (let y = 0; y < height; y++) data.set(row, y * width);
    return Promise.resolve({ width, height, channels: 1, data });
  };
  return { thumb: picture, flip: picture, full: () => Promise.resolve(undefined) };
}

/**
 * Colours of points of the frame being drawn now: valid only inside an animation frame that drew. One reading of
 * the box round them, as each reading waits for the graphics process.
 */
function readAll(
  canvas: HTMLCanvasElement,
  points: readonly (readonly [number, number])[],
): [number, number, number][] {
  const px = points.map(
    ([x, y]) => [Math.floor(x * devicePixelRatio), Math.floor(y * devicePixelRatio)] as const,
  );
  const [xs, ys] = [px.map(([x]) => x), px.map(([, y]) => y)];
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  const [width, height] = [Math.max(...xs) - left + 1, Math.max(...ys) - top + 1];
  const gl = canvas.getContext('webgl2');
  let data: Uint8Array | Uint8ClampedArray = new Uint8Array(width * height * 4);
  if (gl) gl.readPixels(left, canvas.height - top - height, width, height, gl.RGBA, gl.UNSIGNED_BYTE, data);
  else data = canvas.getContext('2d')?.getImageData(left, top, width, height).data ?? data;
  return px.map(([x, y]) => {
    // WebGL's rows run upwards.
    const row = gl ? height - 1 - (y - top) : y - top;
    const at = (row * width + x - left) * 4;
    return [data[at] ?? 0, data[at + 1] ?? 0, data[at + 2] ?? 0];
  });
}

function readCode(
  canvas: HTMLCanvasElement,
  stage: Stage,
  sizePx: readonly [number, number],
): ReadBack | undefined {
  const points = Array.from({ length: BLOCKS }, (_, block) =>
    stage.toStage([((block + 0.5) * sizePx[0]) / BLOCKS, sizePx[1] / 2]),
  );
  const bits = readAll(canvas, points).map(([red]) => red < 128);
  const value = (list: boolean[]) => list.reduce((sum, bit) => sum * 2 + (bit ? 1 : 0), 0);
  const quality = QUALITIES[value(bits.slice(9, 11)) - 1];
  if (!quality || !bits[11] || bits[12]) return undefined;
  return { layer: bits[0] ? 'rough' : 'clean', number: value(bits.slice(1, 9)), quality };
}

export function harness(options: HarnessOptions = {}): Harness {
  const sizePx = options.sizePx ?? [1920, 1080];
  document.body.style.cssText = 'margin:0;overflow:hidden';
  const element = document.createElement('div');
  element.style.cssText = 'position:fixed;inset:0';
  document.body.replaceChildren(element);
  const told: Told[] = [];
  const shown: Harness['shown'] = [];
  const aborted: string[] = [];
  let reads = true;
  const waiting: { test: (each: Shown) => boolean; resolve: (each: Shown) => void }[] = [];
  const source = options.source ?? codedSource(options, aborted);
  const stage = createStage(
    element,
    source,
    {
      shown(each) {
        shown.push({ ...each, read: reads ? readCode(canvas, stage, sizePx) : undefined });
        for (const wait of waiting.filter(({ test }) => test(each))) {
          waiting.splice(waiting.indexOf(wait), 1);
          wait.resolve(each);
        }
      },
      camera() {},
      flip: (steps) => told.push({ kind: 'flip', steps }),
      hold: (down) => told.push({ kind: 'hold', down }),
      tap: (paper) => told.push({ kind: 'tap', paper }),
      wipe: (at) => told.push({ kind: 'wipe', at }),
      pen: (phase, points) => told.push({ kind: 'pen', phase, points }),
      penHover: () => told.push({ kind: 'hover' }),
      penSeen: () => told.push({ kind: 'pen seen' }),
      lost: (state) => told.push({ kind: state }),
    },
    options,
  );
  const canvas = element.querySelector('canvas') as HTMLCanvasElement;
  stage.setPaperSize(sizePx);
  const inNextFrame = <T>(read: () => T) =>
    new Promise<T>((resolve) => {
      // The camera set to itself makes the stage draw; this callback runs after its own.
      stage.moveTo(stage.camera());
      requestAnimationFrame(() => resolve(read()));
    });
  return {
    stage,
    canvas,
    told,
    shown,
    aborted,
    pixels: (points) => inNextFrame(() => readAll(canvas, points)),
    code: () => inNextFrame(() => readCode(canvas, stage, sizePx)),
    onlyTell() {
      reads = false;
    },
    untilShown: (test) =>
      new Promise((resolve) => {
        const last = shown.at(-1);
        if (last && test(last)) resolve(last);
        else waiting.push({ test, resolve });
      }),
  };
}
