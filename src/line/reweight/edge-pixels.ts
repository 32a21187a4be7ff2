import type { InkMap } from '../reduce.ts';
import { lineRuns } from '../runs.ts';
import { edgeDistance } from './edge-distance.ts';

/** The pixels in which the line's edge lies, as seen from the side that a change moves into. */
export interface EdgePixels {
  readonly count: number;
  /** Pixel indices, y × width + x. */
  readonly pixels: Int32Array;
  /** What the side that does not move covers of the pixel, 0–255: the line when it grows, the paper when it shrinks. */
  readonly coverage: Uint8Array;
  /** From the pixel's middle to the edge, px; positive where the middle lies outside the side that does not move. */
  readonly ownPx: Float32Array;
}

/** From half covered on a pixel's middle lies in the line. */
const HALF = 128;

/**
 * Finds them row by row along the line's runs; bare paper costs nothing.
 *
 * @param grows true for a line that becomes thicker: pixels with some line, next to bare paper or across the half.
 *   False for a thinner one: pixels with some paper, next to solid line or across the half.
 */
export function edgePixels({ coverage, width, height }: InkMap, grows: boolean): EdgePixels {
  const runs = lineRuns(coverage, width, height, 1);
  let pixels = new Int32Array(1 << 15);
  let count = 0;
  const add = (i: number): void => {
    if (count === pixels.length) {
      const larger = new Int32Array(2 * count);
      larger.set(pixels);
      pixels = larger;
    }
    pixels[count++] = i;
  };
  const at = (x: number, y: number): number =>
    x < 0 || y < 0 || x >= width || y >= height ? 0 : coverage[y * width + x]!;
  for (let y = 0; y < height; y++) {
    for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++) {
      // A shrinking line's edge may lie in a bare pixel, where the file has no soft edges.
      const from = grows ? runs.start[k]! : Math.max(0, runs.start[k]! - 1);
      const to = grows ? runs.end[k]! : Math.min(width, runs.end[k]! + 1);
      const rowInside = y > 0 && y < height - 1;
      for (let x = from; x < to; x++) {
        const inside = rowInside && x > 0 && x < width - 1;
        const i = y * width + x;
        if (inside ? isEdgeWithin(coverage, i, width, grows) : isEdge(at, x, y, grows)) add(i);
      }
    }
  }
  const found = grows
    ? pixels.slice(0, count)
    : withBareNeighbours(pixels.subarray(0, count), coverage, width, height);
  const own = new Uint8Array(found.length);
  const ownPx = new Float32Array(found.length);
  for (let k = 0; k < found.length; k++) {
    const i = found[k]!;
    const x = i % width;
    const y = (i - x) / width;
    own[k] = grows ? coverage[i]! : 255 - coverage[i]!;
    const [gx, gy] = slope(at, x, y);
    const length = Math.hypot(gx, gy);
    // A line thinner than a pixel has no slope there: taken as for an edge along an axis.
    ownPx[k] = length < 1 ? 0.5 - own[k]! / 255 : edgeDistance(gx / length, gy / length, own[k]! / 255);
  }
  return { count: found.length, pixels: found, coverage: own, ownPx };
}

function isEdge(at: (x: number, y: number) => number, x: number, y: number, grows: boolean): boolean {
  const c = at(x, y);
  if (grows ? c === 0 : c === 255) return false;
  for (let dy = -1; dy <= 1; dy++) {
    for (let dx = -1; dx <= 1; dx++) {
      const n = at(x + dx, y + dy);
      if (n === (grows ? 0 : 255) || c >= HALF !== n >= HALF) return grows || c > 0 || n >= HALF;
    }
  }
  return false;
}

/** The same for a pixel that has all eight neighbours: most of the time goes here. */
function isEdgeWithin(coverage: Uint8Array, i: number, width: number, grows: boolean): boolean {
  const c = coverage[i]!;
  if (grows ? c === 0 : c === 255) return false;
  const far = grows ? 0 : 255;
  const solid = c >= HALF;
  for (let row = i - width; row <= i + width; row += width) {
    for (let j = row - 1; j <= row + 1; j++) {
      const n = coverage[j]!;
      if (n === far || solid !== n >= HALF) return grows || c > 0 || n >= HALF;
    }
  }
  return false;
}

/** Bare pixels above and below a solid run belong to a shrinking line's edge too; those in its row are there. */
function withBareNeighbours(
  found: Int32Array,
  coverage: Uint8Array,
  width: number,
  height: number,
): Int32Array {
  const runs = lineRuns(coverage, width, height, HALF);
  const bare: number[] = [];
  for (let y = 0; y < height; y++) {
    for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++) {
      for (const row of [y - 1, y + 1]) {
        if (row < 0 || row >= height) continue;
        for (let x = runs.start[k]!; x < runs.end[k]!; x++) {
          const i = row * width + x;
          if (coverage[i] === 0) bare.push(i);
        }
      }
    }
  }
  if (bare.length === 0) return found.slice();
  const all = new Int32Array(found.length + bare.length);
  all.set(found);
  all.set(bare, found.length);
  all.sort();
  let count = 0;
  for (let k = 0; k < all.length; k++) if (k === 0 || all[k] !== all[k - 1]) all[count++] = all[k]!;
  return all.slice(0, count);
}

/** The coverage's gradient, from the 3 × 3 pixels around (Gustavson & Strand 2011). */
function slope(at: (x: number, y: number) => number, x: number, y: number): readonly [x: number, y: number] {
  const [nw, n, ne] = [at(x - 1, y - 1), at(x, y - 1), at(x + 1, y - 1)];
  const [sw, s, se] = [at(x - 1, y + 1), at(x, y + 1), at(x + 1, y + 1)];
  return [
    ne + Math.SQRT2 * at(x + 1, y) + se - nw - Math.SQRT2 * at(x - 1, y) - sw,
    sw + Math.SQRT2 * s + se - nw - Math.SQRT2 * n - ne,
  ];
}
