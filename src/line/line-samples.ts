import type { Ink } from './ink.ts';
import { coverageAt } from './nearest-ink.ts';
import type { LineSamples } from './samples.ts';
import { PATH_END, type Skeleton } from './skeleton.ts';
import { median } from './statistics.ts';

/** Skeleton pixels from one sample to the next. */
const STEP_PX = 2;
/** Step of the integral across the line, px; finer gains nothing on anti-aliased edges. */
const ACROSS_PX = 0.5;
/** Farthest the integral goes from the mid-line: a line wider than twice this is a solid black. */
const REACH_PX = 48;
/** A skeleton's pixels step this far off a straight line that they stand for. */
const MOST_STEP_PX = 0.9;
/** Farthest the centroid may lie from the skeleton; beyond, it is drawn out along a stroke that joins. */
const MOST_SHIFT_PX = 1.5;
/** How much farther, as a share of the width, a line may reach on one side of its skeleton than on the other. */
const UNEVEN_SHARE = 0.1;
/** Width, relative to the path's own median, from which a swelling at a junction belongs to the junction. */
const SWELLING = 1.06;
/** Turn of the line within one width, rad, from which it is a corner. */
const CORNER_RAD = 0.6;
/** Coverage (0–255) under which the line has ended. */
const BARE = 3;
/** Coverage under which a rise means the next line has begun, not that this one goes on. */
const PARTING = 102;

/**
 * Follows each path of the skeleton and measures the line across it: its middle as the centroid of coverage
 * along the normal, its width as the integral of coverage. The normal of a skeleton is rough; so the tangent
 * is taken again from the centroids, over a stretch as long as the line is wide, and the width of a slanting
 * cut is brought back to a square one by the cosine of the correction.
 *
 * No width (NaN) within one line width of a line's end or a junction, where a cut catches other strokes, nor
 * in solid blacks.
 */
export function lineSamples(ink: Ink, skeleton: Skeleton): LineSamples {
  const { width } = ink;
  const { pixels, pathStart, pathEnds } = skeleton;
  const paths = pathStart.length - 1;
  const chainStart = new Uint32Array(paths + 1);
  for (let p = 0; p < paths; p++) {
    chainStart[p + 1] = chainStart[p]! + Math.ceil((pathStart[p + 1]! - pathStart[p]!) / STEP_PX);
  }
  const count = chainStart[paths]!;
  const x = new Float32Array(count);
  const y = new Float32Array(count);
  const tangentRad = new Float32Array(count);
  const widthPx = new Float32Array(count);
  const chainClosed = Uint8Array.from({ length: paths }, (_, p) =>
    pathEnds[2 * p] === PATH_END.loop ? 1 : 0,
  );

  for (let p = 0; p < paths; p++) {
    const from = pathStart[p]!;
    const length = pathStart[p + 1]! - from;
    const closed = chainClosed[p] === 1;
    const first = chainStart[p]!;
    const last = chainStart[p + 1]!;
    for (let s = first; s < last; s++) {
      const at = (s - first) * STEP_PX;
      const [cx, cy, tangent] = smoothed(at, length, closed, from);
      tangentRad[s] = tangent;
      across(s, cx, cy, tangent);
    }
    straighten(first, last, closed);
    if (!closed) leaveOutEnds(first, last);
  }
  return { stepPx: STEP_PX, x, y, tangentRad, widthPx, chainStart, chainClosed };

  /** Place and direction of the skeleton at its pixel `at`: a straight fit over four pixels to each side. */
  function smoothed(at: number, length: number, closed: boolean, from: number): [number, number, number] {
    const reach = closed ? Math.min(4, (length - 1) >> 1) : 4;
    let sx = 0;
    let sy = 0;
    let slopeX = 0;
    let slopeY = 0;
    let spread = 0;
    let n = 0;
    const low = closed ? -reach : -Math.min(reach, at);
    const high = closed ? reach : Math.min(reach, length - 1 - at);
    const middle = (low + high) / 2;
    for (let k = low; k <= high; k++) {
      const i = pixels[from + ((at + k + length) % length)]!;
      const py = Math.floor(i / width);
      const px = i - py * width;
      sx += px;
      sy += py;
      slopeX += (k - middle) * px;
      slopeY += (k - middle) * py;
      spread += (k - middle) ** 2;
      n++;
    }
    // Near an end the window lies to one side: its fit is read at the pixel, or the line would end short.
    const on = spread > 0 ? -middle / spread : 0;
    let fitX = sx / n + on * slopeX;
    let fitY = sy / n + on * slopeY;
    const own = pixels[from + at]!;
    const ownY = Math.floor(own / width);
    const ownX = own - ownY * width;
    // A corner has no straight fit, which would cut it short.
    if (Math.hypot(fitX - ownX, fitY - ownY) > MOST_STEP_PX) [fitX, fitY] = [ownX, ownY];
    return [fitX + 0.5, fitY + 0.5, Math.atan2(slopeY, slopeX)];
  }

  /** Integral and centroid of coverage along the normal through (cx, cy). */
  function across(s: number, cx: number, cy: number, tangent: number): void {
    const nx = -Math.sin(tangent) * ACROSS_PX;
    const ny = Math.cos(tangent) * ACROSS_PX;
    const middle = coverageAt(ink, cx, cy);
    let sum = middle;
    let moment = 0;
    let ended = true;
    let uneven = 0;
    for (let side = -1; side <= 1; side += 2) {
      let before = middle;
      let k = 1;
      for (; k <= REACH_PX / ACROSS_PX; k++) {
        const a = coverageAt(ink, cx + side * k * nx, cy + side * k * ny);
        if (a <= BARE || (a > before && before < PARTING)) break;
        sum += a;
        moment += side * k * a;
        if (a >= PARTING) uneven += side * ACROSS_PX;
        before = a;
      }
      ended &&= k <= REACH_PX / ACROSS_PX;
    }
    const w = (sum * ACROSS_PX) / 255;
    // The skeleton lies in the middle of a line; where one side reaches much farther, another stroke joins.
    const plain = ended && middle >= PARTING && Math.abs(uneven) <= 2 + UNEVEN_SHARE * w;
    const shift = sum > 0 ? Math.max(-MOST_SHIFT_PX, Math.min(MOST_SHIFT_PX, moment / sum)) : 0;
    x[s] = cx + shift * nx;
    y[s] = cy + shift * ny;
    widthPx[s] = plain ? w : Number.NaN;
  }

  function straighten(first: number, last: number, closed: boolean): void {
    const length = last - first;
    if (length < 3) return;
    const chord = (a: number, b: number): number => Math.atan2(y[b]! - y[a]!, x[b]! - x[a]!);
    for (let s = first; s < last; s++) {
      const w = widthPx[s]!;
      if (Number.isNaN(w)) continue;
      const reach = Math.min((length - 1) >> 1, Math.max(2, Math.round(w / (2 * STEP_PX))));
      const back = closed ? first + ((s - first - reach + length) % length) : Math.max(first, s - reach);
      const on = closed ? first + ((s - first + reach) % length) : Math.min(last - 1, s + reach);
      const tangent = chord(back, on);
      const turn = Math.cos(tangent - tangentRad[s]!);
      // A correction over 45° is a corner or a blob, not a slanting cut.
      const bend = Math.abs(wrapped(chord(s, on) - chord(back, s)));
      widthPx[s] = turn < Math.SQRT1_2 || bend > CORNER_RAD ? Number.NaN : w * turn;
      tangentRad[s] = tangent;
    }
  }

  function leaveOutEnds(first: number, last: number): void {
    const typical = median(widthPx.subarray(first, last));
    if (Number.isNaN(typical)) return;
    const margin = Math.ceil(typical / STEP_PX);
    const swollen = (s: number): boolean => !(widthPx[s]! <= SWELLING * typical);
    let from = Math.min(last, first + margin);
    let to = Math.max(first, last - margin);
    for (let more = 2 * margin; more > 0 && from < to && swollen(from); more--) from++;
    for (let more = 2 * margin; more > 0 && from < to && swollen(to - 1); more--) to--;
    widthPx.fill(Number.NaN, first, from);
    widthPx.fill(Number.NaN, to, last);
  }
}

/** An angle brought into −π … π. */
const wrapped = (angleRad: number): number => angleRad - 2 * Math.PI * Math.round(angleRad / (2 * Math.PI));
