import type { Components } from './components.ts';
import type { Runs } from './runs.ts';
import type { Workspace } from './workspace.ts';

/** Of a pixel that is no line, or no longer. */
export const CLEAR = 0;
const LINE = 1;
/** Eight neighbours clockwise from the one above, as bits 0–7. */
const DX = [0, 1, 1, 1, 0, -1, -1, -1];
const DY = [-1, -1, 0, 1, 1, 1, 0, -1];

/** The line with one clear pixel all round, so that no neighbour needs a bounds check. */
export class Raster {
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

/** Which of a pixel's eight neighbours are line. */
export function neighbours(mask: Uint8Array, i: number, stride: number): number {
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
 * Thins the line (Guo & Hall 1989, algorithm A1), looking at the border of what is left only. One piece of line at a
 * time: pieces do not see each other, and one's border stays in the processor's cache where
 * that of a whole 4K drawing does not.
 */
export function thin(raster: Raster, pieces: Components, workspace: Workspace): void {
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
