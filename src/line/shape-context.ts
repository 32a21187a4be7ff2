import type { LineSamples } from './samples.ts';

const ANGLES = 12;
const RINGS = 5;
const BINS = ANGLES * RINGS;
/** The innermost ring ends at this share of the radius; each further ring is wider by the same factor. */
const INNERMOST = 1 / 8;

/** What a drawing looks like from each of a few of its points. */
export interface Contexts {
  /** The points, as indices into the samples. */
  readonly points: Uint32Array;
  /** Per point: how the rest of the line lies round it, square roots of shares, angle by angle within ring by ring. */
  readonly rows: Float32Array;
}

/**
 * Shape contexts (Belongie, Malik & Puzicha 2002): the rest of the line round a point, in rings and angles, out to
 * `radiusPx`. Upright, or turned with the line's own direction, and so the same however the drawing is turned.
 */
export function shapeContexts(
  samples: LineSamples,
  points: Uint32Array,
  of: Uint32Array,
  radiusPx: number,
  turned: boolean,
): Contexts {
  const rows = new Float32Array(points.length * BINS);
  const ringPer = (RINGS - 1) / Math.log(1 / INNERMOST);
  const anglePer = ANGLES / (2 * Math.PI);
  for (let p = 0; p < points.length; p++) {
    const i = points[p]!;
    const [x, y] = [samples.x[i]!, samples.y[i]!];
    const base = turned ? samples.tangentRad[i]! : 0;
    const row = rows.subarray(p * BINS, (p + 1) * BINS);
    for (let q = 0; q < of.length; q++) {
      const j = of[q]!;
      const dx = samples.x[j]! - x;
      const dy = samples.y[j]! - y;
      const share = Math.sqrt(dx * dx + dy * dy) / radiusPx;
      if (share >= 1 || share < 1e-4) continue;
      const ring = Math.max(0, RINGS - 1 + Math.floor(Math.log(share) * ringPer + 1) - 1);
      const turns = (Math.atan2(dy, dx) - base) * anglePer;
      const low = Math.floor(turns);
      const rest = turns - low;
      const angle = ((low % ANGLES) + ANGLES) % ANGLES;
      // Shared out between two angles, so that a small turn changes little.
      row[ring * ANGLES + angle]! += 1 - rest;
      row[ring * ANGLES + ((angle + 1) % ANGLES)]! += rest;
    }
    let sum = 0;
    for (let k = 0; k < BINS; k++) sum += row[k]!;
    if (sum > 0) for (let k = 0; k < BINS; k++) row[k] = Math.sqrt(row[k]! / sum);
  }
  return { points, rows };
}

export interface Likeness {
  /** Places in the two lists of points. */
  readonly from: number;
  readonly to: number;
  /** The second was looked at from the other end of its line. */
  readonly reversed: boolean;
  /** 1 for equal surroundings, 0 for nothing in common (Bhattacharyya 1943). */
  readonly alike: number;
}

/** For each point of the first its `most` likest of the second; `bothWays` also looks along the line backwards. */
export function likest(from: Contexts, to: Contexts, most: number, bothWays: boolean): Likeness[] {
  const out: Likeness[] = [];
  const turnedRow = new Float32Array(BINS);
  for (let p = 0; p < from.points.length; p++) {
    const row = from.rows.subarray(p * BINS, (p + 1) * BINS);
    for (let k = 0; k < BINS; k++) {
      const ring = k - (k % ANGLES);
      turnedRow[k] = row[ring + ((k - ring + ANGLES / 2) % ANGLES)]!;
    }
    const best: Likeness[] = [];
    for (let q = 0; q < to.points.length; q++) {
      for (const reversed of bothWays ? [false, true] : [false]) {
        const own = reversed ? turnedRow : row;
        let alike = 0;
        const at = q * BINS;
        for (let k = 0; k < BINS; k++) alike += own[k]! * to.rows[at + k]!;
        if (best.length === most && alike <= best[most - 1]!.alike) continue;
        if (best.length === most) best.pop();
        const place = best.findIndex((other) => other.alike < alike);
        best.splice(place < 0 ? best.length : place, 0, { from: p, to: q, reversed, alike });
      }
    }
    out.push(...best);
  }
  return out;
}
