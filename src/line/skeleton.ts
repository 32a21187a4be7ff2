import type { Runs } from './runs.ts';
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

const CLEAR = 0;
const LINE = 1;
/** Eight neighbours clockwise from the one above, as bits 0–7. */
const DX = [0, 1, 1, 1, 0, -1, -1, -1];
const DY = [-1, -1, 0, 1, 1, 1, 0, -1];

/**
 * Thins the line to its skeleton (Guo & Hall 1989, algorithm A1: unlike Zhang & Suen 1984 it keeps two-pixel
 * diagonals and leaves no two-pixel squares), then takes out the corners of its staircases, then follows it.
 *
 * Only the border of what is left is looked at, so the cost goes with the line, not the paper.
 */
export function skeletonOf(runs: Runs, workspace = new Workspace()): Skeleton {
  const raster = new Raster(runs, workspace);
  thin(raster, workspace);
  const pixels = removeCorners(raster);
  const skeleton = follow(raster, pixels);
  raster.release(workspace);
  return skeleton;
}

/** The line with one clear pixel all round, so that no neighbour needs a bounds check. */
class Raster {
  readonly stride: number;
  readonly mask: Uint8Array;
  readonly around: Int32Array;
  readonly runs: Runs;

  constructor(runs: Runs, workspace: Workspace) {
    this.runs = runs;
    this.stride = runs.width + 2;
    this.mask = workspace.bytes(this.stride * (runs.height + 2));
    this.mask.fill(CLEAR);
    this.around = Int32Array.from(DX, (dx, k) => DY[k]! * this.stride + dx);
    for (let y = 0; y < runs.height; y++) {
      const row = (y + 1) * this.stride + 1;
      for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++) {
        this.mask.fill(LINE, row + runs.start[k]!, row + runs.end[k]!);
      }
    }
  }

  release(workspace: Workspace): void {
    workspace.release(this.mask);
  }
}

function neighbours(mask: Uint8Array, i: number, stride: number): number {
  const up = i - stride;
  const down = i + stride;
  return (
    (mask[up]! & 1) |
    ((mask[up + 1]! & 1) << 1) |
    ((mask[i + 1]! & 1) << 2) |
    ((mask[down + 1]! & 1) << 3) |
    ((mask[down]! & 1) << 4) |
    ((mask[down - 1]! & 1) << 5) |
    ((mask[i - 1]! & 1) << 6) |
    ((mask[up - 1]! & 1) << 7)
  );
}

/** Which of the 256 neighbourhoods let a pixel go: bit 0 in the first subiteration, bit 1 in the second. */
function thinningTable(): Uint8Array {
  const table = new Uint8Array(256);
  for (let code = 0; code < 256; code++) {
    const [n, ne, e, se, s, sw, w, nw] = Array.from({ length: 8 }, (_, k) => ((code >> k) & 1) === 1);
    const crossings = [!n && (ne || e), !e && (se || s), !s && (sw || w), !w && (nw || n)].filter(Boolean);
    const pairs = [nw || n, ne || e, se || s, sw || w].filter(Boolean).length;
    const otherPairs = [n || ne, e || se, s || sw, w || nw].filter(Boolean).length;
    const thickness = Math.min(pairs, otherPairs);
    if (crossings.length !== 1 || thickness < 2 || thickness > 3) continue;
    if (!((s || sw || !nw) && w)) table[code] = table[code]! | 1;
    if (!((n || ne || !se) && e)) table[code] = table[code]! | 2;
  }
  return table;
}

function thin({ mask, stride, around, runs }: Raster, workspace: Workspace): void {
  const table = thinningTable();
  let linePixels = 0;
  for (let k = 0; k < runs.start.length; k++) linePixels += runs.end[k]! - runs.start[k]!;
  // A pixel stands in each list at most once.
  const queue = workspace.ints(linePixels);
  const gone = workspace.ints(linePixels);
  // Each pixel's neighbourhood is kept and mended by those that go: it is asked for far more often.
  const codes = workspace.bytes(mask.length);
  codes.fill(0);
  let queued = 0;
  for (let y = 0; y < runs.height; y++) {
    const row = (y + 1) * stride + 1;
    for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++) {
      for (let i = row + runs.start[k]!; i < row + runs.end[k]!; i++) {
        const code = neighbours(mask, i, stride);
        codes[i] = code;
        if (code !== 255) queue[queued++] = i;
      }
    }
  }
  for (let bit = 1, idle = 0; idle < 2; bit = 3 - bit) {
    let goneNow = 0;
    let kept = 0;
    for (let k = 0; k < queued; k++) {
      const i = queue[k]!;
      if ((table[codes[i]!]! & bit) !== 0) gone[goneNow++] = i;
      else queue[kept++] = i;
    }
    queued = kept;
    for (let k = 0; k < goneNow; k++) {
      const i = gone[k]!;
      mask[i] = CLEAR;
      for (let n = 0; n < 8; n++) {
        const at = i + around[n]!;
        const code = codes[at]!;
        codes[at] = code & ~(1 << ((n + 4) & 7));
        // What is laid bare joins the border. Paper never has 255, as its neighbourhood was left at 0.
        if (code === 255) queue[queued++] = at;
      }
    }
    idle = goneNow === 0 ? idle + 1 : 0;
  }
  workspace.release(queue, gone, codes);
}

/** Takes out pixels that no path needs: simple points (their neighbours hang together without them) that
 * are no line's end. Afterwards a path's inner pixel has exactly two neighbours. Returns what is left. */
function removeCorners({ mask, stride, runs }: Raster): Int32Array {
  const simple = simpleTable();
  const left: number[] = [];
  for (let y = 0; y < runs.height; y++) {
    const row = (y + 1) * stride + 1;
    for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++) {
      for (let i = row + runs.start[k]!; i < row + runs.end[k]!; i++) {
        if (mask[i] === CLEAR) continue;
        if (simple[neighbours(mask, i, stride)] === 1) mask[i] = CLEAR;
        else left.push(i);
      }
    }
  }
  return Int32Array.from(left.filter((i) => mask[i] !== CLEAR));
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
  const order: number[] = [];
  const pathStart: number[] = [0];
  const pathEnds: number[] = [];
  const degree = (i: number): number => BITS[neighbours(mask, i, stride)]!;
  const kind = (i: number): number => (degree(i) <= 1 ? PATH_END.lineEnd : PATH_END.junction);
  const plain = (i: number): number => (Math.floor(i / stride) - 1) * width + (i % stride) - 1;

  /** From a node (or a loop's first pixel) through `next` until the next node. */
  const walk = (node: number, next: number): void => {
    order.push(plain(node));
    let before = node;
    let at = next;
    while (degree(at) === 2 && (mask[at]! & SEEN) === 0) {
      mask[at] = mask[at]! | SEEN;
      order.push(plain(at));
      let onward = -1;
      for (let k = 0; k < 8; k++) {
        const to = at + around[k]!;
        if (to !== before && mask[to] !== CLEAR) onward = to;
      }
      before = at;
      at = onward;
    }
    const closed = degree(node) === 2;
    if (!closed) order.push(plain(at));
    pathStart.push(order.length);
    pathEnds.push(closed ? PATH_END.loop : kind(node), closed ? PATH_END.loop : kind(at));
  };

  for (const i of pixels) {
    const d = degree(i);
    if (d === 2) continue;
    if (d === 0) {
      order.push(plain(i));
      pathStart.push(order.length);
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
    if (degree(i) !== 2 || (mask[i]! & SEEN) !== 0) continue;
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
    pixels: Int32Array.from(order),
    pathStart: Int32Array.from(pathStart),
    pathEnds: Uint8Array.from(pathEnds),
  };
}
