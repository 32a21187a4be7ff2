/**
 * Whether drawings shown one after the other flash (WCAG 2.2, success criterion 2.3.1; techniques G19 and
 * G176; Rec. ITU-R BT.1702 rests on the same measures). A measure, no medical advice: see the caution shown
 * beside every use of it.
 */
import { type ChangeMask, mostInWindow } from './flash-area.ts';
import { chromaticityOf, isSaturatedRed, linearOf, luminanceOf } from './luminance.ts';
import type { Picture } from './picture.ts';

/** A change of relative luminance of this much or more … */
const LUMINANCE_STEP = 0.1;
/** Rounding of 32-bit luminance errs towards "flashes". */
const ROUNDING = 1e-6;
/** … counts when the darker of the two is below this (WCAG 2.2, "general flash"). */
const DARKER_BELOW = 0.8;
/** A red flash moves farther than this in CIE 1976 u′v′ (WCAG 2.2, "red flash"). */
const CHROMA_STEP = 0.2;
/** Three flashes, each a pair of opposing transitions, may fall into one second; the seventh transition fails. */
const TRANSITIONS_ALLOWED = 6;
/** The 10° field of G176 on a 1024 × 768 screen, CSS px; a quarter of it may flash. */
const FIELD_PX = [341, 256] as const;
const FIELD_SHARE = 0.25;
const FIELD_VIEWPORT_PX = [1024, 768] as const;

export interface FlashView {
  /** CSS px on screen per px of the pictures given. */
  readonly cssPxPerPicturePx: number;
  /** The viewport, CSS px. A smaller one than 1024 × 768 shrinks the field; a larger one never widens it. */
  readonly viewportPx: readonly [width: number, height: number];
}

export interface FlashStep {
  readonly picture: Picture;
  /** How long it stays, in frames of the rate; 1 or more. */
  readonly frames: number;
}

interface FlashCount {
  /** Most opposing transitions within any one second at the rate asked for. */
  readonly transitions: number;
  /** Largest area that changed at once within a field (in all, while that is no more than the limit), CSS px². */
  readonly largestAreaPx2: number;
}

export interface Flash {
  /** True when more than three flashes would fall into one second at the rate asked for. */
  readonly flashes: boolean;
  /** Highest safe rate, frames a second; `Infinity` when no rate makes these drawings flash. */
  readonly safeRateHz: number;
  readonly why: 'none' | 'general' | 'red' | 'general and red';
  readonly general: FlashCount;
  readonly red: FlashCount;
  /** An area larger than this counts, CSS px²: 21,824 at 1024 × 768 and above. */
  readonly areaLimitPx2: number;
}

/** Whether going between two relative luminances is one half of a general flash. */
export function isGeneralTransition(one: number, other: number): boolean {
  return Math.abs(one - other) >= LUMINANCE_STEP - ROUNDING && Math.min(one, other) < DARKER_BELOW;
}

/** Whether going between two linear RGB colours is one half of a red flash. */
export function isRedTransition(
  one: readonly [number, number, number],
  other: readonly [number, number, number],
): boolean {
  if (!isSaturatedRed(...one) && !isSaturatedRed(...other)) return false;
  const [u1, v1] = chromaticityOf(...one);
  const [u2, v2] = chromaticityOf(...other);
  return Math.hypot(u1 - u2, v1 - v2) > CHROMA_STEP;
}

/**
 * Measures pictures shown over and over in this order, `rateHz` frames a second. All must have the same
 * size, else a RangeError states the sizes. Transparent pixels lie on white paper.
 *
 * Which size to give: WCAG lets patterns finer than 0.1° (3.4 CSS px) be left out, so pictures whose px
 * spans no more than that, such as thumbs of a fitted drawing, lose nothing that counts; zoomed in, give
 * the flip size. It errs towards "flashes": a change of enough area counts wherever it is, while WCAG asks
 * for the same place, and two pictures that brighten here and darken there count at each change.
 */
export function flashOfCycle(steps: readonly FlashStep[], rateHz: number, view: FlashView): Flash {
  const scale = Math.min(
    1,
    view.viewportPx[0] / FIELD_VIEWPORT_PX[0],
    view.viewportPx[1] / FIELD_VIEWPORT_PX[1],
  );
  const fieldPx = [FIELD_PX[0] * scale, FIELD_PX[1] * scale] as const;
  const areaLimitPx2 = fieldPx[0] * fieldPx[1] * FIELD_SHARE;
  const changes = changesOfCycle(steps);
  const lengthFrames = steps.reduce((sum, step) => sum + step.frames, 0);
  const measure = (kind: 'general' | 'red') => {
    const large = changes.map((change) =>
      largeChange(change[kind], change.frame, view, fieldPx, areaLimitPx2),
    );
    const frames = opposingFrames(large, lengthFrames);
    return {
      safeRateHz: safeRate(frames),
      count: {
        transitions: mostWithin(frames, rateHz),
        largestAreaPx2: Math.max(0, ...large.map((each) => each.areaPx2)),
      },
    };
  };
  const general = measure('general');
  const red = measure('red');
  const safeRateHz = Math.min(general.safeRateHz, red.safeRateHz);
  const kinds = [general.safeRateHz < Infinity && 'general', red.safeRateHz < Infinity && 'red'];
  return {
    flashes: rateHz > safeRateHz,
    safeRateHz,
    why: (kinds.filter(Boolean).join(' and ') || 'none') as Flash['why'],
    general: general.count,
    red: red.count,
    areaLimitPx2,
  };
}

interface Change {
  /** Frame at which it happens, within the cycle. */
  readonly frame: number;
  readonly general: ChangeMask;
  readonly red: ChangeMask;
}

/** One round to settle each pixel's extremes, one to measure: after that every round is the same. */
function changesOfCycle(steps: readonly FlashStep[]): Change[] {
  const first = steps[0]?.picture;
  if (!first || steps.length < 2) return [];
  const odd = steps.find(({ picture }) => picture.width !== first.width || picture.height !== first.height);
  if (odd)
    throw new RangeError(
      `Flashing is measured between pictures of one size; got ${first.width}×${first.height} and ${odd.picture.width}×${odd.picture.height}.`,
    );
  const coloured = steps.some(({ picture }) => picture.channels === 4);
  const pixels = createPixels(first, coloured);
  const round = () => {
    let frame = 0;
    return steps.map(({ picture, frames }) => {
      const change = { frame, ...pixels.show(picture) };
      frame += frames;
      return change;
    });
  };
  round();
  return round();
}

interface Pixels {
  readonly show: (picture: Picture) => Pick<Change, 'general' | 'red'>;
}

/** Every pixel's extremes of luminance since it last turned, and the colour it last had. */
function createPixels(first: Picture, coloured: boolean): Pixels {
  const { width, height } = first;
  const count = width * height;
  const lowest = new Float32Array(count).fill(Number.NaN);
  const highest = new Float32Array(count);
  /** Linear R, G, B of the state a red flash is measured from. */
  const colour = new Float32Array(coloured ? count * 3 : 0).fill(1);
  const empty: ChangeMask = { width, height, bits: new Uint8Array(count) };

  function turn(pixel: number, now: number): number {
    const low = lowest[pixel] as number;
    const high = highest[pixel] as number;
    const up = now > low && isGeneralTransition(now, low);
    const down = now < high && isGeneralTransition(now, high);
    if (up || down || Number.isNaN(low)) {
      lowest[pixel] = now;
      highest[pixel] = now;
    } else if (now < low) lowest[pixel] = now;
    else if (now > high) highest[pixel] = now;
    return up ? 1 : down ? 2 : 0;
  }

  function redden(pixel: number, red: number, green: number, blue: number): number {
    const at = pixel * 3;
    const [r, g, b] = [colour[at] as number, colour[at + 1] as number, colour[at + 2] as number];
    const isRed = isSaturatedRed(red, green, blue);
    const wasRed = isSaturatedRed(r, g, b);
    const turned = (isRed || wasRed) && isRedTransition([r, g, b], [red, green, blue]);
    if (turned || isRed === wasRed) {
      colour[at] = red;
      colour[at + 1] = green;
      colour[at + 2] = blue;
    }
    return turned ? (isRed ? 1 : 2) : 0;
  }

  let before: Picture | undefined;
  return {
    show(picture) {
      const general = { width, height, bits: new Uint8Array(count) };
      const red = coloured ? { width, height, bits: new Uint8Array(count) } : empty;
      const { channels, data } = picture;
      const old = before?.channels === channels ? before.data : undefined;
      for (let pixel = 0; pixel < count; pixel++) {
        const at = pixel * channels;
        // Most of a drawing is paper in both: what has not changed cannot have turned.
        if (old && sameBytes(old, data, at, channels)) continue;
        const r = linearAt(picture, at);
        const g = channels === 1 ? r : linearAt(picture, at, 1);
        const b = channels === 1 ? r : linearAt(picture, at, 2);
        general.bits[pixel] = turn(pixel, luminanceOf(r, g, b));
        if (coloured) red.bits[pixel] = redden(pixel, r, g, b);
      }
      before = picture;
      return { general, red };
    },
  };
}

function sameBytes(one: Uint8Array, other: Uint8Array, at: number, count: number): boolean {
  for (let index = at; index < at + count; index++) if (one[index] !== other[index]) return false;
  return true;
}

/** Linear light of one channel, on white paper where there is alpha. */
function linearAt({ channels, data }: Picture, at: number, channel = 0): number {
  const value = data[at + channel] as number;
  const alpha = channels === 4 ? (data[at + 3] as number) : 255;
  const onWhite = alpha === 255 ? value : Math.round((value * alpha + 255 * (255 - alpha)) / 255);
  return linearOf[onWhite] as number;
}

interface LargeChange {
  readonly frame: number;
  readonly up: boolean;
  readonly down: boolean;
  readonly areaPx2: number;
}

function largeChange(
  mask: ChangeMask,
  frame: number,
  view: FlashView,
  fieldPx: readonly [number, number],
  limitPx2: number,
): LargeChange {
  const side = view.cssPxPerPicturePx;
  const changed = [0, 0, 0];
  for (const bit of mask.bits) changed[bit] = (changed[bit] as number) + 1;
  const area = (bit: 1 | 2) => {
    const wholePx2 = (changed[bit] as number) * side * side;
    // All of it together is too little: no need to look where it lies.
    if (wholePx2 <= limitPx2) return wholePx2;
    return mostInWindow(mask, bit, Math.ceil(fieldPx[0] / side), Math.ceil(fieldPx[1] / side)) * side * side;
  };
  const [upPx2, downPx2] = [area(1), area(2)];
  return { frame, up: upPx2 > limitPx2, down: downPx2 > limitPx2, areaPx2: Math.max(upPx2, downPx2) };
}

/**
 * Frames of opposing transitions over enough rounds to see every seven in a row. A second change in the same
 * direction opposes nothing and is left out.
 */
function opposingFrames(changes: readonly LargeChange[], lengthFrames: number): number[] {
  if (!changes.some(({ up, down }) => up || down)) return [];
  const frames: number[] = [];
  let last: 'up' | 'down' | 'both' | undefined;
  const rounds = 2 * TRANSITIONS_ALLOWED + 4;
  for (let round = 0; round < rounds; round++)
    for (const { frame, up, down } of changes) {
      const way = up && down ? 'both' : up ? 'up' : down ? 'down' : undefined;
      if (!way || (way === last && way !== 'both')) continue;
      last = way;
      // The first round starts with no direction; from the second on every round is alike.
      if (round > 0) frames.push(round * lengthFrames + frame);
    }
  // One counted change in all the rounds has no counterpart.
  return frames.length > 1 ? frames : [];
}

/** Seven transitions must take at least one second: the shortest such span in frames is the highest rate. */
function safeRate(frames: readonly number[]): number {
  let safe = Number.POSITIVE_INFINITY;
  for (let index = TRANSITIONS_ALLOWED; index < frames.length; index++)
    safe = Math.min(safe, (frames[index] as number) - (frames[index - TRANSITIONS_ALLOWED] as number));
  return safe;
}

/** Most frames of the list within any one second, [t, t + 1 s), at this rate. */
function mostWithin(frames: readonly number[], rateHz: number): number {
  let most = 0;
  for (const [index, from] of frames.entries()) {
    const after = frames.findIndex((frame) => frame >= from + rateHz);
    most = Math.max(most, (after < 0 ? frames.length : after) - index);
  }
  return most;
}
