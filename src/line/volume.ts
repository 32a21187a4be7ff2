import { pieceBox } from './components.ts';
import { type Ink, LINE_FROM } from './ink.ts';
import { coverageAt } from './nearest-ink.ts';
import type { Box } from './picture.ts';
import type { Refused } from './refused.ts';
import { isEnclosed, type Regions, regionAt } from './regions.ts';
import type { Runs } from './runs.ts';
import type { LineSamples } from './samples.ts';
import { median } from './statistics.ts';

/** An enclosed region of paper. */
export interface Region {
  /** Box of the paper inside, px. */
  readonly bbox: Box;
  /** Area up to the middle of the line round it, px². */
  readonly areaPx2: number;
  /** Middle of the paper inside, px. */
  readonly centroid: readonly [xPx: number, yPx: number];
  /** Length of the middle of the line round it and jutting into it, px. */
  readonly perimeterPx: number;
  /** A pixel of it well inside, in the middle of its longest row. */
  readonly inside: readonly [x: number, y: number];
}

export interface Volume {
  /** All enclosed regions together, each up to the middle of its line. */
  readonly enclosedPx2: number;
  /** Largest first. */
  readonly regions: readonly Region[];
}

/** How far over the line's edge its region is looked for, px: past the anti-aliased edge. */
const BESIDE_PX = 1.2;

/**
 * The regions that line encloses, as a fill sees them, each with its area up to the middle of the line: so
 * neither a heavier line nor a thinner one changes a volume. To the paper inside, each pixel by what the line
 * leaves of it (1 − a), comes sample by sample along the line the strip between its middle and its edge:
 * e·ds − ½e²·dθ for an edge at distance e of a line that turns by dθ towards that side (Steiner's formula
 * taken piece by piece: A + ½wP).
 *
 * A line that juts into a region counts as part of it. Regions smaller than `leastAreaPx2` of paper are left
 * out. Refuses when nothing is enclosed.
 */
export function measureVolume(
  ink: Ink,
  line: Runs,
  regions: Regions,
  samples: LineSamples,
  { leastAreaPx2 = 64 }: { leastAreaPx2?: number } = {},
): Volume | Refused {
  const { pieces } = regions;
  const { areaPx2: strips, perimeterPx } = stripsOf(ink, regions, samples);
  const bare = barePx2(ink, line, regions);
  const { sumX, sumY, inside } = momentsOf(regions);
  const found: Region[] = [];
  for (let k = 0; k < pieces.count; k++) {
    const paperPx2 = pieces.areaPx2[k]!;
    if (paperPx2 < leastAreaPx2 || !isEnclosed(regions, k)) continue;
    found.push({
      bbox: pieceBox(pieces, k),
      areaPx2: bare[k]! + strips[k]!,
      centroid: [sumX[k]! / paperPx2, sumY[k]! / paperPx2],
      perimeterPx: perimeterPx[k]!,
      inside: [inside[2 * k]!, inside[2 * k + 1]!],
    });
  }
  if (found.length === 0)
    return { refused: 'No line closes round a region, so there is no volume to measure.' };
  found.sort((a, b) => b.areaPx2 - a.areaPx2);
  return { enclosedPx2: found.reduce((sum, { areaPx2 }) => sum + areaPx2, 0), regions: found };
}

/** What the line leaves of the paper in each region, px²: Σ(1 − a) over its pixels and its edge pixels. */
function barePx2({ coverage, width, height }: Ink, line: Runs, regions: Regions): Float64Array {
  const { runs, pieces } = regions;
  const bare = Float64Array.from(pieces.areaPx2);
  for (let y = 0; y < height; y++) {
    for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++) {
      const piece = pieces.ofRun[k]!;
      if (!isEnclosed(regions, piece)) continue;
      let covered = 0;
      for (let i = y * width + runs.start[k]!; i < y * width + runs.end[k]!; i++) covered += coverage[i]!;
      bare[piece]! -= covered / 255;
    }
    for (let k = line.rowStart[y]!; k < line.rowStart[y + 1]!; k++) {
      for (let x = line.start[k]!; x < line.end[k]!; x++) {
        const i = y * width + x;
        const a = coverage[i]!;
        if (a === 255 || x === 0 || y === 0 || x === width - 1 || y === height - 1) continue;
        // An edge pixel belongs to the paper beside it; between two regions, to the barer side.
        const side = Math.min(coverage[i - 1]!, coverage[i + 1]!, coverage[i - width]!, coverage[i + width]!);
        if (side >= LINE_FROM) continue;
        const dx = coverage[i - 1] === side ? -1 : coverage[i + 1] === side ? 1 : 0;
        const dy = dx !== 0 ? 0 : coverage[i - width] === side ? -1 : 1;
        const region = regionAt(regions, x + dx, y + dy);
        if (region >= 0) bare[region]! += 1 - a / 255;
      }
    }
  }
  return bare;
}

/** Area between the line's middle and each region's paper, px², by region. */
function stripsOf(ink: Ink, regions: Regions, samples: LineSamples) {
  const { x, y, tangentRad, widthPx, chainStart, chainClosed } = samples;
  const areaPx2 = new Float64Array(regions.pieces.count);
  const perimeterPx = new Float64Array(regions.pieces.count);
  const usualHalfPx = (median(widthPx) || 2) / 2;
  for (let c = 0; c + 1 < chainStart.length; c++) {
    const first = chainStart[c]!;
    const last = chainStart[c + 1]!;
    const closed = chainClosed[c] === 1;
    for (let s = first; s < last; s++) {
      const before = s > first ? s - 1 : closed ? last - 1 : s;
      const after = s + 1 < last ? s + 1 : closed ? first : s;
      const lengthPx = Math.hypot(x[after]! - x[before]!, y[after]! - y[before]!) / 2;
      const turn = tangentRad[after]! - tangentRad[before]!;
      const turnRad = (turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI))) / 2;
      const half = widthPx[s]! > 0 ? widthPx[s]! / 2 : usualHalfPx;
      for (const side of [1, -1]) {
        const nx = -side * Math.sin(tangentRad[s]!);
        const ny = side * Math.cos(tangentRad[s]!);
        const edge = widthPx[s]! > 0 ? half : edgeAlong(ink, x[s]!, y[s]!, nx, ny, half);
        const reach = edge + BESIDE_PX;
        const region = regionAt(regions, Math.floor(x[s]! + reach * nx), Math.floor(y[s]! + reach * ny));
        // The normal turns with the line, so a left turn draws the left side together.
        if (region < 0) continue;
        perimeterPx[region]! += lengthPx;
        areaPx2[region]! += edge * lengthPx - (side * edge * edge * turnRad) / 2;
      }
    }
  }
  return { areaPx2, perimeterPx };
}

/** Distance from the middle to the edge of the line; at most a pixel and a half over the expected one. */
function edgeAlong(ink: Ink, x: number, y: number, nx: number, ny: number, expected: number): number {
  let before = 255;
  const start = Math.max(0, expected - 1.5);
  for (let t = start; t <= expected + 1.5; t += 0.25) {
    const a = coverageAt(ink, x + t * nx, y + t * ny);
    if (a < 127.5) {
      return t === start ? expected : t - (0.25 * (127.5 - a)) / Math.max(1, before - a);
    }
    before = a;
  }
  return expected;
}

/** Sums of x and of y over the pixels of each region, and the middle of its longest row. */
function momentsOf({ runs, pieces }: Regions) {
  const sumX = new Float64Array(pieces.count);
  const sumY = new Float64Array(pieces.count);
  const longest = new Int32Array(pieces.count);
  const inside = new Int32Array(2 * pieces.count);
  for (let row = 0; row < runs.height; row++) {
    for (let k = runs.rowStart[row]!; k < runs.rowStart[row + 1]!; k++) {
      const length = runs.end[k]! - runs.start[k]!;
      const piece = pieces.ofRun[k]!;
      const middle = (runs.start[k]! + runs.end[k]!) / 2;
      sumX[piece]! += length * middle;
      sumY[piece]! += length * (row + 0.5);
      if (length <= longest[piece]!) continue;
      longest[piece] = length;
      inside[2 * piece] = Math.floor(middle);
      inside[2 * piece + 1] = row;
    }
  }
  return { sumX, sumY, inside };
}

/**
 * Areas of a clean drawing's regions relative to its rough's (1 = equal), over the regions that close in
 * both. The rough's line is wider and searching: its middle is taken half a `roughWidthPx` outside the paper
 * it leaves, along the perimeter that the clean line gives. Refuses when no region closes in both.
 */
export function volumeAgainstRough(
  clean: Volume,
  roughRegions: Regions,
  roughWidthPx: number,
): number | Refused {
  let cleanPx2 = 0;
  let roughPx2 = 0;
  for (const [k, ratio] of regionsAgainstRough(clean, roughRegions, roughWidthPx).entries()) {
    if (ratio === undefined) continue;
    cleanPx2 += clean.regions[k]!.areaPx2;
    roughPx2 += clean.regions[k]!.areaPx2 / ratio;
  }
  return roughPx2 > 0 ? cleanPx2 / roughPx2 : { refused: 'The rough closes round none of the same regions.' };
}

/** The same region by region; `undefined` where the rough closes round none that is the same. */
export function regionsAgainstRough(
  clean: Volume,
  roughRegions: Regions,
  roughWidthPx: number,
): (number | undefined)[] {
  const taken = new Set<number>();
  const half = roughWidthPx / 2;
  return clean.regions.map(({ areaPx2, perimeterPx, inside }) => {
    const region = regionAt(roughRegions, ...inside);
    if (region < 0 || taken.has(region) || !isEnclosed(roughRegions, region)) return undefined;
    const middlePx2 = roughRegions.pieces.areaPx2[region]! + half * perimeterPx - Math.PI * half * half;
    // Half or twice the size is another region: one of the rough's lines is open or was left out.
    if (middlePx2 < areaPx2 / 2 || middlePx2 > 2 * areaPx2) return undefined;
    taken.add(region);
    return areaPx2 / middlePx2;
  });
}
