/** The frames of a line test, one after the other, and whether they would flash. */
import { SentenceError } from '../../error/sentence.ts';
import { type FlashStep, flashOfCycle } from '../../line/flash.ts';
import type { Picture } from '../../line/picture.ts';
import type { ImageRef } from '../../shot/model.ts';
import type { ExportPainter } from '../painter.ts';
import { burntIn, frameNumber } from './burnt-in.ts';
import { composeFrame, greyWherePossible, type LaidPly } from './compose.ts';
import type { LineTestPlan, Ply, Step } from './plan.ts';
import type { Rate } from './rate.ts';

export interface LineTestSource {
  readonly painter: ExportPainter;
  /** On opaque white paper, its long edge exactly so many px; undefined when it is not kept here. */
  readonly pictureOf: (image: ImageRef, longEdgePx: number) => Promise<Picture | undefined>;
  /** Made smaller, each px the average of what it covers; the same picture when it is small enough. */
  readonly reduce: (picture: Picture, longEdgePx: number) => Picture;
}

export interface Making {
  readonly signal?: AbortSignal;
  /** `done` of all frames. */
  readonly onProgress?: (done: number, total: number) => void;
}

export interface ShownFrame {
  readonly picture: Picture;
  /** For how many frames it stays, unchanged. */
  readonly frames: number;
}

/** It would flash; `safeHz` frames a second would not. */
export class FlashError extends SentenceError {
  readonly safeHz: number;
  constructor(askedHz: number, safeHz: number) {
    super(
      'flash',
      `At ${spoken(askedHz)} frames a second it would flash more than three times in a second (WCAG 2.2, 2.3.1), which can bring on seizures in people with photosensitive epilepsy, so it was not written. At ${spoken(safeHz)} a second it does not.`,
    );
    this.name = 'FlashError';
    this.safeHz = safeHz;
  }
}

const spoken = (rate: number): string => String(Math.round(rate * 100) / 100);

/** Pictures at hand, bytes: what comes again soon need not be decoded again. */
const mostKept = 96e6;
/** Finer than this may be left out of the measure while the frame fills a screen 1024 px wide (3.4 CSS px each). */
const thumbEdgePx = 320;
/** The screen that WCAG's field of view is given for (G176), CSS px. */
const screenPx = [1024, 768] as const;

/**
 * Every picture in turn. Throws a `FlashError` at the end when what was shown would flash at the rate: nothing may be
 * handed out then. `lacking` is told of pictures that are not there.
 */
export async function* lineTestFrames(
  plan: LineTestPlan,
  rate: Rate,
  source: LineTestSource,
  { signal, onProgress }: Making = {},
  lacking: (image: ImageRef) => void = () => undefined,
): AsyncGenerator<ShownFrame> {
  const pictures = keeping(source);
  const shown: FlashStep[] = [];
  for (const step of plan.steps) {
    signal?.throwIfAborted();
    const base = await baseOf(plan, step, source, pictures, lacking);
    // A frame's number is far smaller than what counts as a flash: a quarter of a field of 341 × 256 px.
    shown.push({ picture: source.reduce(base, thumbEdgePx), frames: step.frames });
    if (!plan.frameNumbers) {
      yield { picture: greyWherePossible(base), frames: step.frames };
      onProgress?.(step.frame + step.frames - 1, plan.frames);
      continue;
    }
    for (let frame = step.frame; frame < step.frame + step.frames; frame++) {
      signal?.throwIfAborted();
      const number = await frameNumber(plan, frame, source.painter);
      const ground = { picture: base, x: 0, y: 0, opacity: 1 };
      const picture = composeFrame([plan.width, plan.height], [ground], [number]);
      yield { picture: greyWherePossible(picture), frames: 1 };
      onProgress?.(frame, plan.frames);
    }
  }
  const safeHz = safeRateOf(shown);
  const askedHz = rate.frames / rate.seconds;
  if (askedHz > safeHz) throw new FlashError(askedHz, safeHz);
}

/** As it fills the screen, over and over: players loop. */
function safeRateOf(shown: readonly FlashStep[]): number {
  const first = shown[0]?.picture;
  if (!first) return Infinity;
  const cssPxPerPicturePx = Math.min(screenPx[0] / first.width, screenPx[1] / first.height);
  return flashOfCycle(shown, 1, { cssPxPerPicturePx, viewportPx: screenPx }).safeRateHz;
}

/** One frame alone, as it will be written; frame numbers come with it. For the eye, before anything is made. */
export async function lineTestStill(
  plan: LineTestPlan,
  frame: number,
  source: LineTestSource,
): Promise<Picture> {
  const step = plan.steps.findLast((one) => one.frame <= frame) ?? plan.steps[0];
  if (!step) return composeFrame([plan.width, plan.height], [], []);
  const base = await baseOf(plan, step, source, keeping(source), () => undefined);
  if (!plan.frameNumbers) return base;
  const number = await frameNumber(plan, Math.min(frame, plan.frames), source.painter);
  return composeFrame([plan.width, plan.height], [{ picture: base, x: 0, y: 0, opacity: 1 }], [number]);
}

async function baseOf(
  plan: LineTestPlan,
  step: Step,
  { painter }: LineTestSource,
  pictures: (ply: Ply) => Promise<Picture | undefined>,
  lacking: (image: ImageRef) => void,
): Promise<Picture> {
  const plies: LaidPly[] = [];
  for (const ply of step.plies) {
    const picture = await pictures(ply);
    if (picture) plies.push({ ...ply, picture: onPane(plan, ply, picture) });
    else lacking(ply.image);
  }
  return composeFrame([plan.width, plan.height], plies, await burntIn(plan, step, painter));
}

/** A drawing larger than the paper does not reach into the other pane. */
function onPane({ pane, panes }: LineTestPlan, { x, pane: at }: Ply, picture: Picture): Picture {
  const [left, right] = [at * pane[0] - x, (at + 1) * pane[0] - x];
  if (panes === 1 || (left <= 0 && right >= picture.width)) return picture;
  const { width, height, channels } = picture;
  const data = picture.data.slice();
  for (let y = 0; y < height; y++) {
    data.fill(255, y * width * channels, (y * width + Math.max(0, left)) * channels);
    data.fill(255, (y * width + Math.min(width, right)) * channels, (y + 1) * width * channels);
  }
  return { width, height, channels, data };
}

function keeping({ pictureOf }: LineTestSource): (ply: Ply) => Promise<Picture | undefined> {
  const kept = new Map<string, Picture>();
  let bytes = 0;
  return async ({ image, longEdgePx }) => {
    const key = `${image.sha256} ${longEdgePx}`;
    const picture = kept.get(key) ?? (await pictureOf(image, longEdgePx));
    if (!picture) return undefined;
    if (kept.delete(key)) bytes -= picture.data.length;
    kept.set(key, picture);
    bytes += picture.data.length;
    for (const [old, { data }] of kept) {
      if (bytes <= mostKept || old === key) break;
      kept.delete(old);
      bytes -= data.length;
    }
    return picture;
  };
}
