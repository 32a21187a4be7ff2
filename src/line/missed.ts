import { boxOf } from './box.ts';
import { chamferDistance } from './chamfer.ts';
import type { Box, Picture } from './picture.ts';
import { type InkMap, reduce, scaleFor } from './reduce.ts';
import { median } from './statistics.ts';

/** Missed lines are looked for on cells of about this many along the long edge. */
const CELLS = 1100;
/** A cell is rough line when this much of it is inked. */
const INKED = 0.12;
/** Fainter than this against the rough's own lines: construction. */
const FAINT = 0.55;
/** Difference of hue, as chroma over darkness, from the rough's traced lines that tells another pencil. */
const OTHER_PENCIL = 0.3;
/** Beyond this share of the paper's width from any clean line stand numbers, charts and notes. */
const NOTATION = 0.1;
/** Reach that joins cells at their sides and corners. */
const EIGHT_CONNECTED = Math.SQRT2;

interface MissedRun {
  readonly kind: 'missed';
  readonly bbox: Box;
  readonly lengthPx: number;
  readonly maxPx: number;
  readonly strength: number;
  readonly construction: boolean;
}

/**
 * Rough lines with no clean line near, in px of the rough, the strongest first. A place beside a displaced
 * line is no miss. A rough holds construction and searching strokes that nobody traces, so each run carries
 * its darkness against the rough's traced lines and whether it is likely construction: judging is for others.
 */
export function missedRuns(input: {
  readonly roughInk: InkMap;
  readonly rough: Picture | undefined;
  readonly cleanX: Float32Array;
  readonly cleanY: Float32Array;
  /** Rough places that a displaced clean line answers to. */
  readonly covered: readonly (readonly [number, number])[];
  readonly tolerancePx: number;
  /** Usual width of the rough's bundle of strokes. */
  readonly bundlePx: number;
  /** How far the rough's strokes stray from the line they look for. */
  readonly strayPx: number;
}): MissedRun[] {
  const { roughInk } = input;
  const scale = scaleFor(roughInk.width, roughInk.height, CELLS);
  const grid = reduce(roughInk, scale);
  const farPx = Math.max(
    2.5 * input.tolerancePx,
    Math.max(input.bundlePx, input.strayPx) + input.tolerancePx,
  );
  const seeds = new Uint8Array(grid.a.length);
  const seed = (x: number, y: number) => {
    const cx = Math.floor(x / scale);
    const cy = Math.floor(y / scale);
    if (cx >= 0 && cy >= 0 && cx < grid.width && cy < grid.height) seeds[cy * grid.width + cx] = 1;
  };
  input.cleanX.forEach((x, i) => seed(x, input.cleanY[i]!));
  for (const [x, y] of input.covered) seed(x, y);
  const distance = chamferDistance(seeds, grid.width, grid.height);

  const traced: number[] = [];
  const tracedHues: Hue[] = [];
  const untraced: number[] = [];
  for (let i = 0; i < grid.a.length; i++) {
    if (grid.a[i]! < INKED) continue;
    if (distance[i]! * scale > farPx) untraced.push(i);
    else if (distance[i]! * scale <= input.tolerancePx) {
      traced.push(grid.a[i]!);
      if (traced.length % 7 === 0) tracedHues.push(hueOf(i));
    }
  }
  const usual = median(traced) || 1;
  const own: Hue = [median(tracedHues.map(([u]) => u)) || 0, median(tracedHues.map(([, w]) => w)) || 0];
  // Construction in another pencil crosses the line: parted before pieces are made, or they would be one.
  const samePencil: number[] = [];
  const otherPencil: number[] = [];
  for (const i of untraced) {
    const [u, w] = hueOf(i);
    (Math.hypot(u - own[0], w - own[1]) > OTHER_PENCIL ? otherPencil : samePencil).push(i);
  }
  const shortestPx = Math.max(24, 2 * input.bundlePx, 5 * input.tolerancePx);
  const runs: MissedRun[] = [];
  for (const [pencil, coloured] of [
    [samePencil, false],
    [otherPencil, true],
  ] as const) {
    const long = pieces(pencil, grid, EIGHT_CONNECTED).filter(
      (cells) => spanOf(cells).lengthPx >= shortestPx,
    );
    // Construction that crosses a line parts it, by a cell or two wider than itself.
    for (const cells of pieces(long.flat(), grid, Math.ceil((2 * input.bundlePx) / scale) + 1)) {
      const { bbox, lengthPx } = spanOf(cells);
      const strength = median(cells.map((i) => grid.a[i]!)) / usual;
      const far = cells.every((i) => distance[i]! * scale > NOTATION * roughInk.width);
      runs.push({
        kind: 'missed',
        bbox,
        lengthPx,
        maxPx: cells.reduce((most, i) => Math.max(most, distance[i]!), 0) * scale,
        strength,
        construction: coloured || far || strength < FAINT,
      });
    }
  }
  return runs.sort(
    (p, q) =>
      Number(p.construction) - Number(q.construction) || q.strength * q.lengthPx - p.strength * p.lengthPx,
  );

  function spanOf(cells: readonly number[]): { bbox: Box; lengthPx: number } {
    const x = cells.map((i) => (i % grid.width) * scale);
    const y = cells.map((i) => Math.floor(i / grid.width) * scale);
    const bbox = boxOf([...x, ...x.map((v) => v + scale)], [...y, ...y.map((v) => v + scale)], roughInk);
    const inkedPx = (cells.length * scale * scale) / Math.max(input.bundlePx, scale) / 1.5;
    return { bbox, lengthPx: Math.max(Math.hypot(bbox[2], bbox[3]), inkedPx) };
  }

  /** Hue of a cell's darkest px: 0, 0 for graphite, whatever its strength, and without a coloured picture. */
  function hueOf(cell: number): Hue {
    const { rough } = input;
    if (!rough || rough.channels !== 4) return [0, 0];
    const left = (cell % grid.width) * scale;
    const top = Math.floor(cell / grid.width) * scale;
    const right = Math.min(rough.width, left + scale);
    const low = Math.min(rough.height, top + scale);
    let at = top * rough.width + left;
    for (let y = top; y < low; y++) {
      for (let x = left, i = y * rough.width + left; x < right; x++, i++) {
        if (roughInk.coverage[i]! > roughInk.coverage[at]!) at = i;
      }
    }
    const alpha = rough.data[4 * at + 3]! / 255;
    const r = alpha * (255 - rough.data[4 * at]!);
    const g = alpha * (255 - rough.data[4 * at + 1]!);
    const b = alpha * (255 - rough.data[4 * at + 2]!);
    const darkness = Math.max(r, g, b, 24);
    return [(r - g) / darkness, ((r + g) / 2 - b) / darkness];
  }
}

/** Red against green, yellow against blue, each as a share of darkness. */
type Hue = readonly [number, number];

/** Cells that come within `reach` cells of each other, piece by piece, in the order given. */
function pieces(
  cells: readonly number[],
  { width, height }: { readonly width: number; readonly height: number },
  reach: number,
): number[][] {
  const out: number[][] = [];
  const waiting = new Uint8Array(width * height);
  for (const cell of cells) waiting[cell] = 1;
  const whole = Math.floor(reach);
  for (const first of cells) {
    if (!waiting[first]) continue;
    const piece = [first];
    waiting[first] = 0;
    for (let k = 0; k < piece.length; k++) {
      const x = piece[k]! % width;
      const y = Math.floor(piece[k]! / width);
      for (let dy = -Math.min(whole, y); dy <= Math.min(whole, height - 1 - y); dy++) {
        for (let dx = -Math.min(whole, x); dx <= Math.min(whole, width - 1 - x); dx++) {
          const next = (y + dy) * width + x + dx;
          if (!waiting[next] || dx * dx + dy * dy > reach * reach) continue;
          waiting[next] = 0;
          piece.push(next);
        }
      }
    }
    out.push(piece);
  }
  return out;
}
