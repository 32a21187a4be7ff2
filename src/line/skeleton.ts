import { components } from './components.ts';
import { bareWords, doubled, type Runs } from './runs.ts';
import { CLEAR, neighbours, Raster, thin } from './thinning.ts';
import { Workspace } from './workspace.ts';

/** The middle of the line, one pixel wide, cut into paths at its junctions. */
export interface Skeleton {
  readonly width: number;
  readonly height: number;
  /** Pixel indices (y × width + x) of all paths, one after the other, each in order along the line. */
  readonly pixels: Int32Array;
  /** `paths + 1` values: path p is `pixels[pathStart[p]]` up to, not including, `pathStart[p + 1]`. */
  readonly pathStart: Int32Array;
  /** Two values a path: what lies at its first and at its last pixel. A closed loop has none at both. */
  readonly pathEnds: Uint8Array;
}

/** At a path's end the line stops, meets other paths, or (a closed loop) goes on. */
export const PATH_END = { loop: 0, lineEnd: 1, junction: 2 } as const;

/**
 * Thins the line to its skeleton (Guo & Hall 1989, algorithm A1: unlike Zhang & Suen 1984 it keeps two-pixel
 * diagonals and leaves no two-pixel squares), then takes out the corners of its staircases, then follows it.
 *
 * Only the border of what is left is looked at, so the cost goes with the line, not the paper. `pieces` are the line's,
 * 8-connected; a caller that has them passes them on.
 */
export function skeletonOf(runs: Runs, workspace = new Workspace(), pieces = components(runs, 8)): Skeleton {
  const raster = new Raster(runs, workspace);
  thin(raster, pieces, workspace);
  const pixels = removeCorners(raster);
  const skeleton = follow(raster, pixels);
  raster.release(workspace);
  return skeleton;
}

/** Takes out pixels that no path needs: simple points (their neighbours hang together without them) that
 * are no line's end. Afterwards a path's inner pixel has exactly two neighbours. Returns what is left. */
function removeCorners({ mask, stride, runs }: Raster): Int32Array {
  const simple = simpleTable();
  const words = bareWords(mask, mask.length);
  let left = new Int32Array(1 << 14);
  let count = 0;
  for (let y = 0; y < runs.height; y++) {
    const row = (y + 1) * stride + 1;
    for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++) {
      const stop = row + runs.end[k]!;
      for (let i = row + runs.start[k]!; i < stop; i++) {
        // Four at a time: nearly all are gone.
        while ((i & 3) === 0 && i + 4 <= stop && words[i >> 2] === 0) i += 4;
        if (i === stop) break;
        if (mask[i] === CLEAR) continue;
        if (simple[neighbours(mask, i, stride)] === 1) {
          mask[i] = CLEAR;
          continue;
        }
        if (count === left.length) left = doubled(left);
        left[count++] = i;
      }
    }
  }
  return left.subarray(0, count);
}

function simpleTable(): Uint8Array {
  const table = new Uint8Array(256);
  for (let code = 0; code < 256; code++) {
    let runs = 0;
    let count = 0;
    for (let k = 0; k < 8; k++) {
      const here = (code >> k) & 1;
      count += here;
      // A corner between two straight neighbours counts as filled: those two touch across it.
      const bridged = k % 2 === 1 && ((code >> (k - 1)) & 1) === 1 && ((code >> ((k + 1) % 8)) & 1) === 1;
      const previous = (k + 7) % 8;
      const previousBridged =
        previous % 2 === 1 &&
        ((code >> (previous - 1)) & 1) === 1 &&
        ((code >> ((previous + 1) % 8)) & 1) === 1;
      if ((here === 1 || bridged) && !(((code >> previous) & 1) === 1 || previousBridged)) runs++;
    }
    // A wholly inner pixel has no start of a run either; thinning leaves none.
    if (runs === 1 && count >= 2) table[code] = 1;
  }
  return table;
}

const BITS = Uint8Array.from({ length: 256 }, (_, code) => code.toString(2).replaceAll('0', '').length);

function follow({ mask, stride, around, runs }: Raster, pixels: Int32Array): Skeleton {
  const SEEN = 4;
  const { width, height } = runs;
  let order = new Int32Array(2 * pixels.length);
  let length = 0;
  const pathStart: number[] = [0];
  const pathEnds: number[] = [];
  const degree = (i: number): number => BITS[neighbours(mask, i, stride)]!;
  const kind = (i: number): number => (degree(i) <= 1 ? PATH_END.lineEnd : PATH_END.junction);
  const put = (i: number): void => {
    const row = Math.floor(i / stride);
    // A junction stands in each of its paths.
    if (length === order.length) order = doubled(order);
    order[length++] = (row - 1) * width + i - row * stride - 1;
  };

  /** From a node (or a loop's first pixel) through `next` until the next node. */
  const walk = (node: number, next: number): void => {
    put(node);
    let before = node;
    let at = next;
    while ((mask[at]! & SEEN) === 0 && degree(at) === 2) {
      mask[at] = mask[at]! | SEEN;
      put(at);
      let onward = -1;
      for (let k = 0; k < 8; k++) {
        const to = at + around[k]!;
        if (to !== before && mask[to] !== CLEAR) onward = to;
      }
      before = at;
      at = onward;
    }
    const closed = degree(node) === 2;
    if (!closed) put(at);
    pathStart.push(length);
    pathEnds.push(closed ? PATH_END.loop : kind(node), closed ? PATH_END.loop : kind(at));
  };

  for (const i of pixels) {
    const d = degree(i);
    if (d === 2) continue;
    if (d === 0) {
      put(i);
      pathStart.push(length);
      pathEnds.push(PATH_END.lineEnd, PATH_END.lineEnd);
      continue;
    }
    for (let k = 0; k < 8; k++) {
      const to = i + around[k]!;
      if (mask[to] === CLEAR) continue;
      const through = degree(to) === 2;
      // Two nodes side by side make one path of two pixels, seen from the lower index only.
      if (through ? (mask[to]! & SEEN) === 0 : to > i) walk(i, to);
    }
  }
  for (const i of pixels) {
    if ((mask[i]! & SEEN) !== 0 || degree(i) !== 2) continue;
    mask[i] = mask[i]! | SEEN;
    for (let k = 0; k < 8; k++) {
      const to = i + around[k]!;
      if (mask[to] === CLEAR || (mask[to]! & SEEN) !== 0) continue;
      walk(i, to);
      break;
    }
  }
  return {
    width,
    height,
    pixels: order.slice(0, length),
    pathStart: Int32Array.from(pathStart),
    pathEnds: Uint8Array.from(pathEnds),
  };
}
