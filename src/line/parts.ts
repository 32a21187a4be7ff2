import { boxUnion } from './box.ts';
import type { Components } from './components.ts';
import { pieceBox } from './components.ts';
import type { Outline } from './outline.ts';
import { formsOf, type Spread } from './part-form.ts';
import type { Box } from './picture.ts';
import { type Regions, regionAt } from './regions.ts';
import { type Runs, runAt } from './runs.ts';
import type { LineSamples } from './samples.ts';
import type { Region } from './volume.ts';

/** A closed part with all that lies inside it (a head with its eyes), as it is followed over a shot. */
export interface Part {
  readonly bbox: Box;
  readonly centroid: readonly [xPx: number, yPx: number];
  /** Up to the middle of its outline, px²; what lies inside counts, so that an eye that closes changes nothing. */
  readonly areaPx2: number;
  /** The same by the rough's line; absent where the rough draws no such part. */
  readonly roughPx2: number | undefined;
  readonly perimeterPx: number;
  /** Its form, without place, size, squash and stretch (see `part-form.ts`). */
  readonly form: readonly number[];
  /** Second moments about the middle by area, px²: [xx, xy, yy]. Squash and stretch show in them. */
  readonly spreadPx2: Spread;
}

/** Parts smaller than this share of all that is enclosed are details. */
const LEAST_SHARE = 0.02;

/** The parts of a drawing, largest first. `pieces` are the line's, 8-connected. */
export function partsOf(
  measured: readonly (Region & { readonly againstRough?: number | undefined })[],
  { line, pieces }: { readonly line: Runs; readonly pieces: Components },
  regions: Regions,
  outline: Outline,
  samples: LineSamples,
): Part[] {
  const { count } = regions.pieces;
  const enclosedPx2 = measured.reduce((sum, { areaPx2 }) => sum + areaPx2, 0);
  const areaPx2 = new Float64Array(count);
  const roughPx2 = new Float64Array(count).fill(Number.NaN);
  for (const region of measured) {
    const at = regionAt(regions, ...region.inside);
    areaPx2[at] = region.areaPx2;
    if (region.againstRough !== undefined) roughPx2[at] = region.areaPx2 / region.againstRough;
  }
  const moments = momentsOf(regions);
  const parent = parentsOf(regions, line, pieces);
  // A region is numbered by its first pixel, so what lies inside it comes after it.
  for (let k = count - 1; k > 0; k--) {
    const outer = parent[k]!;
    if (outer < 0 || !(areaPx2[outer]! > 0)) continue;
    roughPx2[outer]! += Number.isNaN(roughPx2[k]!) ? areaPx2[k]! : roughPx2[k]!;
    areaPx2[outer]! += areaPx2[k]!;
    for (let m = 0; m < 6; m++) moments[6 * outer + m]! += moments[6 * k + m]!;
  }
  const wanted = measured
    .map((region) => ({ region, at: regionAt(regions, ...region.inside) }))
    .filter(({ at }) => areaPx2[at]! >= LEAST_SHARE * enclosedPx2)
    .sort((p, q) => areaPx2[q.at]! - areaPx2[p.at]!);
  const middles = wanted.map(({ at }) => middleOf(moments.subarray(6 * at, 6 * at + 6)));
  const forms = formsOf(
    wanted.map(({ at }, n) => ({ region: at, ...middles[n]! })),
    outline,
    samples,
  );
  return wanted.map(({ region, at }, n) => ({
    bbox: boxUnion(region.bbox, pieceBox(regions.pieces, at)),
    centroid: middles[n]!.centroid,
    areaPx2: areaPx2[at]!,
    roughPx2: Number.isNaN(roughPx2[at]!) ? undefined : roughPx2[at]!,
    perimeterPx: region.perimeterPx,
    form: forms[n]!,
    spreadPx2: middles[n]!.spreadPx2,
  }));
}

/** For each region the one that it lies inside, with one line between them; −1 outermost. */
function parentsOf(regions: Regions, line: Runs, pieces: Components): Int32Array {
  const around = new Int32Array(pieces.count).fill(-2);
  const firstRun = (runs: Runs, ofRun: Int32Array, count: number) => {
    const first = new Int32Array(2 * count).fill(-1);
    for (let y = 0; y < runs.height; y++) {
      for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++) {
        const at = 2 * ofRun[k]!;
        if (first[at]! < 0) first.set([runs.start[k]!, y], at);
      }
    }
    return first;
  };
  const lineFirst = firstRun(line, pieces.ofRun, pieces.count);
  const paperFirst = firstRun(regions.runs, regions.pieces.ofRun, regions.pieces.count);
  return Int32Array.from({ length: regions.pieces.count }, (_, region) => {
    // Above the first pixel of a region lies the line round it; above that line's first, what it lies in.
    const run = runAt(line, paperFirst[2 * region]!, paperFirst[2 * region + 1]! - 1);
    if (run < 0) return -1;
    const piece = pieces.ofRun[run]!;
    const known = around[piece]!;
    if (known === -2) around[piece] = regionAt(regions, lineFirst[2 * piece]!, lineFirst[2 * piece + 1]! - 1);
    return around[piece]!;
  });
}

/** Per region: pixels, then sums of x, y, x², xy, y². */
function momentsOf({ runs, pieces }: Regions): Float64Array {
  const sums = new Float64Array(6 * pieces.count);
  for (let row = 0; row < runs.height; row++) {
    const y = row + 0.5;
    for (let k = runs.rowStart[row]!; k < runs.rowStart[row + 1]!; k++) {
      const at = 6 * pieces.ofRun[k]!;
      const n = runs.end[k]! - runs.start[k]!;
      const x = (runs.start[k]! + runs.end[k]!) / 2;
      sums[at]! += n;
      sums[at + 1]! += n * x;
      sums[at + 2]! += n * y;
      sums[at + 3]! += n * x * x + (n * n * n) / 12;
      sums[at + 4]! += n * x * y;
      sums[at + 5]! += n * y * y;
    }
  }
  return sums;
}

function middleOf(sums: Float64Array) {
  const [n = 1, sx = 0, sy = 0, sxx = 0, sxy = 0, syy = 0] = sums;
  const [mx, my] = [sx / n, sy / n];
  const spreadPx2: Spread = [sxx / n - mx * mx, sxy / n - mx * my, syy / n - my * my];
  return { centroid: [mx, my] as const, spreadPx2 };
}
