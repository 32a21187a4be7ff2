import { boxOf } from './box.ts';
import type { Box } from './picture.ts';
import type { Refused } from './refused.ts';
import type { LineSamples } from './samples.ts';
import { median } from './statistics.ts';

export interface Wobble {
  /** Root mean square distance of the mid-line from its own smooth run, px. */
  readonly rmsPx: number;
  /** The shakiest stretches, worst first. */
  readonly runs: readonly { readonly bbox: Box; readonly lengthPx: number; readonly rmsPx: number }[];
}

/**
 * Half the window, in line widths, over which a hand's sweep counts as smooth. Wider calls intended curves
 * wobble; narrower misses a slow shake.
 */
const HALF_WINDOW_WIDTHS = 4;
const LEAST_HALF_WINDOW_PX = 10;
/** A line that turns by more than this within the window turns on purpose. */
const SHARP_RAD = 0.8;
const COS_SHARP = Math.cos(SHARP_RAD);

/**
 * Wobble within a line: each point's distance, along the normal, from the parabola through its surroundings
 * (Savitzky & Golay 1964, second order). Left out are points whose window reaches a line's end, a junction
 * or a corner: turns sharper than a window can follow are drawn, not shaken.
 */
export function measureWobble(
  samples: LineSamples,
  paper: { readonly width: number; readonly height: number },
): Wobble | Refused {
  const lineWidth = median(samples.widthPx) || 2;
  const half = Math.max(
    3,
    Math.round(Math.max(LEAST_HALF_WINDOW_PX, HALF_WINDOW_WIDTHS * lineWidth) / samples.stepPx),
  );
  const weights = smoothing(half);
  const off = new Float32Array(samples.x.length).fill(Number.NaN);
  for (let c = 0; c + 1 < samples.chainStart.length; c++) {
    const from = samples.chainStart[c]!;
    const to = samples.chainStart[c + 1]!;
    for (let i = from + half; i < to - half; i++) {
      if (isPlain(samples, i, half)) off[i] = offSmooth(samples, i, weights);
    }
  }
  const rmsPx = rms(off, 0, off.length);
  if (Number.isNaN(rmsPx)) return { refused: 'no line is long enough to show a wobble' };
  const runs: { bbox: Box; lengthPx: number; rmsPx: number }[] = [];
  const stretch = 4 * half;
  for (let c = 0; c + 1 < samples.chainStart.length; c++) {
    const to = samples.chainStart[c + 1]!;
    for (let i = samples.chainStart[c]!; i < to; i += stretch) {
      const end = Math.min(to, i + stretch);
      const local = rms(off, i, end);
      if (!(local > 2.5 * rmsPx)) continue;
      const bbox = boxOf(samples.x.subarray(i, end), samples.y.subarray(i, end), paper, lineWidth / 2);
      runs.push({ bbox, lengthPx: (end - i) * samples.stepPx, rmsPx: local });
    }
  }
  return { rmsPx, runs: runs.sort((p, q) => q.rmsPx - p.rmsPx) };
}

/** Savitzky–Golay weights, second order, for the middle of 2·half + 1 points; entry k serves both ±k. */
function smoothing(half: number): Float64Array {
  const n = 2 * half + 1;
  const norm = (n * (n * n - 4)) / 3;
  return Float64Array.from({ length: half + 1 }, (_, k) => ((3 * n * n - 7) / 4 - 5 * k * k) / norm);
}

/** Distance of a point from the parabola through its surroundings, along its left normal, px. */
function offSmooth({ x, y, tangentRad }: LineSamples, i: number, weights: Float64Array): number {
  const half = weights.length - 1;
  let mx = 0;
  let my = 0;
  for (let k = -half; k <= half; k++) {
    const weight = weights[Math.abs(k)]!;
    mx += weight * x[i + k]!;
    my += weight * y[i + k]!;
  }
  const nx = -Math.sin(tangentRad[i]!);
  const ny = Math.cos(tangentRad[i]!);
  return nx * (x[i]! - mx) + ny * (y[i]! - my);
}

/** One line all along the window, without a corner and without another stroke that joins it. */
function isPlain({ tangentRad, widthPx }: LineSamples, i: number, half: number): boolean {
  for (let k = i - half; k <= i + half; k++) {
    if (Number.isNaN(widthPx[k]!)) return false;
    const turnRad = Math.abs(tangentRad[k]! - tangentRad[i]!);
    // Only a turn near the limit, or one counted the long way round, is worth a cosine.
    if (turnRad > 0.99 * SHARP_RAD && Math.cos(turnRad) < COS_SHARP) return false;
  }
  return true;
}

function rms(values: Float32Array, from: number, to: number): number {
  let sum = 0;
  let count = 0;
  for (let i = from; i < to; i++) {
    if (Number.isNaN(values[i]!)) continue;
    sum += values[i]! * values[i]!;
    count++;
  }
  return count > 0 ? Math.sqrt(sum / count) : Number.NaN;
}
