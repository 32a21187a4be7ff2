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
/** Chroma difference (share of full scale) from the rough's own lines that tells another pencil. */
const OTHER_PENCIL = 0.2;

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
}): MissedRun[] {
  const { roughInk } = input;
  const scale = scaleFor(roughInk.width, roughInk.height, CELLS);
  const grid = reduce(roughInk, scale);
  const farPx = Math.max(2.5 * input.tolerancePx, input.bundlePx + input.tolerancePx);
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
  const tracedCells: number[] = [];
  const open = new Uint8Array(grid.a.length);
  for (let i = 0; i < open.length; i++) {
    if (grid.a[i]! < INKED) continue;
    if (distance[i]! * scale > farPx) open[i] = 1;
    else if (distance[i]! * scale <= input.tolerancePx) {
      traced.push(grid.a[i]!);
      tracedCells.push(i);
    }
  }
  const usual = median(traced) || 1;
  const own = input.rough && chroma(input.rough, roughInk, tracedCells, grid.width, scale);
  const shortestPx = Math.max(24, 2 * input.bundlePx, 5 * input.tolerancePx);
  const runs: MissedRun[] = [];
  for (const cells of pieces(open, grid.width)) {
    const x = cells.map((i) => (i % grid.width) * scale);
    const y = cells.map((i) => Math.floor(i / grid.width) * scale);
    const bbox = boxOf([...x, ...x.map((v) => v + scale)], [...y, ...y.map((v) => v + scale)], roughInk);
    const extentPx = Math.hypot(bbox[2], bbox[3]);
    const widthPx = Math.max(input.bundlePx, scale);
    const lengthPx = Math.max(extentPx, (cells.length * scale * scale) / widthPx / 1.5);
    if (lengthPx < shortestPx) continue;
    const strength = median(cells.map((i) => grid.a[i]!)) / usual;
    const there = input.rough && chroma(input.rough, roughInk, cells, grid.width, scale);
    const otherPencil =
      own !== undefined &&
      there !== undefined &&
      Math.hypot(there[0] - own[0], there[1] - own[1]) > OTHER_PENCIL;
    runs.push({
      kind: 'missed',
      bbox,
      lengthPx,
      maxPx: cells.reduce((most, i) => Math.max(most, distance[i]!), 0) * scale,
      strength,
      construction: otherPencil || strength < FAINT,
    });
  }
  return runs.sort(
    (p, q) =>
      Number(p.construction) - Number(q.construction) || q.strength * q.lengthPx - p.strength * p.lengthPx,
  );
}

/** 8-connected pieces of a mask, which is used up. */
function pieces(mask: Uint8Array, width: number): number[][] {
  const out: number[][] = [];
  for (let first = 0; first < mask.length; first++) {
    if (!mask[first]) continue;
    const piece = [first];
    mask[first] = 0;
    for (let k = 0; k < piece.length; k++) {
      const at = piece[k]!;
      const x = at % width;
      for (let dx = x > 0 ? -1 : 0; dx <= (x < width - 1 ? 1 : 0); dx++) {
        for (const next of [at + dx - width, at + dx, at + dx + width]) {
          if (next < 0 || next >= mask.length || !mask[next]) continue;
          mask[next] = 0;
          piece.push(next);
        }
      }
    }
    out.push(piece);
  }
  return out;
}

/** Two opponent colours (red–green, yellow–blue) of the inked px of cells, median, −1..1; grey is 0, 0. */
function chroma(
  picture: Picture,
  ink: InkMap,
  cells: readonly number[],
  gridWidth: number,
  scale: number,
): [number, number] | undefined {
  if (picture.channels !== 4) return undefined;
  const redGreen: number[] = [];
  const yellowBlue: number[] = [];
  const stride = Math.max(1, Math.floor(cells.length / 400));
  for (let k = 0; k < cells.length; k += stride) {
    const left = (cells[k]! % gridWidth) * scale;
    const top = Math.floor(cells[k]! / gridWidth) * scale;
    let darkest = -1;
    let at = -1;
    for (let y = top; y < Math.min(ink.height, top + scale); y++) {
      for (let x = left; x < Math.min(ink.width, left + scale); x++) {
        if (ink.coverage[y * ink.width + x]! > darkest) {
          darkest = ink.coverage[y * ink.width + x]!;
          at = y * ink.width + x;
        }
      }
    }
    if (darkest < 60) continue;
    const alpha = picture.data[4 * at + 3]! / 255;
    const r = alpha * picture.data[4 * at]!;
    const g = alpha * picture.data[4 * at + 1]!;
    const b = alpha * picture.data[4 * at + 2]!;
    redGreen.push((r - g) / 255);
    yellowBlue.push(((r + g) / 2 - b) / 255);
  }
  return redGreen.length > 0 ? [median(redGreen), median(yellowBlue)] : undefined;
}
