import { type Components, components } from './components.ts';
import { bareWords, doubled, type Runs } from './runs.ts';
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
 * Only the border of what is left is looked at, so the cost goes with the line, not the paper. `pieces` are the line's
 * (8-connected), for who has them already.
 */
export function skeletonOf(runs: Runs, workspace = new Workspace(), pieces = components(runs, 8)): Skeleton {
  const raster = new Raster(runs, workspace);
  thin(raster, pieces, workspace);
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
    const { mask } = this;
    for (let y = 0; y < runs.height; y++) {
      const row = (y + 1) * this.stride + 1;
      for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++) {
        for (let i = row + runs.start[k]!, stop = row + runs.end[k]!; i < stop; i++) mask[i] = LINE;
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

/**
 * One piece of line at a time: pieces do not see each other, and one's border stays in the processor's cache where
 * that of a whole 4K drawing does not.
 */
function thin(raster: Raster, pieces: Components, workspace: Workspace): void {
  const { mask, runs } = raster;
  const table = thinningTable();
  let linePixels = 0;
  for (let k = 0; k < runs.start.length; k++) linePixels += runs.end[k]! - runs.start[k]!;
  // A pixel stands in each list at most once.
  const queue = workspace.ints(linePixels);
  const gone = workspace.ints(linePixels);
  // Each pixel's neighbourhood is kept and mended by those that go: it is asked for far more often.
  const codes = workspace.bytes(mask.length);
  codes.fill(0);
  // Each piece's part of the queue has room for all its pixels.
  const first = new Int32Array(pieces.count + 1);
  for (let k = 0; k < pieces.count; k++) first[k + 1] = first[k]! + pieces.areaPx2[k]!;
  const next = first.slice();
  borderOf(raster, codes, queue, next, pieces.ofRun);
  for (let k = 0; k < pieces.count; k++) thinPiece(raster, codes, table, queue, first[k]!, next[k]!, gone);
  workspace.release(queue, gone, codes);
}

/** Thins the piece whose border stands in the queue from `first` up to, not including, `end`. */
function thinPiece(
  { mask, stride }: Raster,
  codes: Uint8Array,
  table: Uint8Array,
  queue: Int32Array,
  first: number,
  end: number,
  gone: Int32Array,
): void {
  let queued = end;
  for (let bit = 1, idle = 0; idle < 2; bit = 3 - bit) {
    let goneNow = 0;
    let kept = first;
    for (let k = first; k < queued; k++) {
      const i = queue[k]!;
      if ((table[codes[i]!]! & bit) !== 0) gone[goneNow++] = i;
      else queue[kept++] = i;
    }
    queued = kept;
    for (let k = 0; k < goneNow; k++) {
      const i = gone[k]!;
      const up = i - stride;
      const down = i + stride;
      mask[i] = CLEAR;
      // In each neighbour the bit that stands for this pixel, written out: it is most of the work.
      // What is laid bare joins the border. Paper never has 255, as its neighbourhood was left at 0.
      const above = codes[up]!;
      codes[up] = above & ~16;
      if (above === 255) queue[queued++] = up;
      const aboveRight = codes[up + 1]!;
      codes[up + 1] = aboveRight & ~32;
      if (aboveRight === 255) queue[queued++] = up + 1;
      const right = codes[i + 1]!;
      codes[i + 1] = right & ~64;
      if (right === 255) queue[queued++] = i + 1;
      const belowRight = codes[down + 1]!;
      codes[down + 1] = belowRight & ~128;
      if (belowRight === 255) queue[queued++] = down + 1;
      const below = codes[down]!;
      codes[down] = below & ~1;
      if (below === 255) queue[queued++] = down;
      const belowLeft = codes[down - 1]!;
      codes[down - 1] = belowLeft & ~2;
      if (belowLeft === 255) queue[queued++] = down - 1;
      const left = codes[i - 1]!;
      codes[i - 1] = left & ~4;
      if (left === 255) queue[queued++] = i - 1;
      const aboveLeft = codes[up - 1]!;
      codes[up - 1] = aboveLeft & ~8;
      if (aboveLeft === 255) queue[queued++] = up - 1;
    }
    idle = goneNow === 0 ? idle + 1 : 0;
  }
}

/**
 * Writes the neighbourhood of every pixel of line, and lists those on its border: of piece p from `next[p]` on,
 * which moves along. What lies under and over the middle of other runs is inner (255) without a look at its
 * neighbours.
 */
function borderOf(
  { mask, stride, runs }: Raster,
  codes: Uint8Array,
  queue: Int32Array,
  next: Int32Array,
  ofRun: Int32Array,
): void {
  const { height, rowStart, start, end } = runs;
  for (let y = 0; y < height; y++) {
    const row = (y + 1) * stride + 1;
    let over = y > 0 ? rowStart[y - 1]! : 0;
    const overEnd = y > 0 ? rowStart[y]! : 0;
    let under = rowStart[y + 1]!;
    const underEnd = y + 1 < height ? rowStart[y + 2]! : under;
    for (let k = rowStart[y]!; k < rowStart[y + 1]!; k++) {
      const last = end[k]! - 1;
      let queued = next[ofRun[k]!]!;
      // All before `bare` is written; inner pixels are looked for from `x` on.
      let bare = start[k]!;
      for (let x = bare + 1; bare <= last; ) {
        while (over < overEnd && end[over]! - 1 <= x) over++;
        while (under < underEnd && end[under]! - 1 <= x) under++;
        let from = last + 1;
        let to = from;
        if (x < last && over < overEnd && under < underEnd) {
          from = Math.max(x, start[over]! + 1, start[under]! + 1);
          to = Math.min(last, end[over]! - 1, end[under]! - 1);
          if (from >= to) {
            x = from;
            continue;
          }
        }
        for (let i = row + bare; i < row + from; i++) {
          const code = neighbours(mask, i, stride);
          codes[i] = code;
          if (code !== 255) queue[queued++] = i;
        }
        for (let i = row + from; i < row + to; i++) codes[i] = 255;
        bare = to;
        x = to;
      }
      next[ofRun[k]!] = queued;
    }
  }
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
