import { pieceBox } from './components.ts';
import { type Ink, LINE_FROM } from './ink.ts';
import { type Outline, outlineOf, stripPx2 } from './outline.ts';
import type { Box } from './picture.ts';
import type { Refused } from './refused.ts';
import { isEnclosed, type Regions, regionAt } from './regions.ts';
import { afterBare, bareWords, type Runs } from './runs.ts';
import type { LineSamples } from './samples.ts';

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

/**
 * The regions that line encloses, as a fill sees them, each with its area up to the middle of the line: so
 * neither a heavier line nor a thinner one changes a volume. To the paper inside, each pixel by what the line
 * leaves of it (1 − a), comes sample by sample along the line the strip between its middle and its edge
 * (Steiner's formula taken piece by piece: A + ½wP).
 *
 * A line that juts into a region counts as part of it. Regions smaller than `leastAreaPx2` of paper are left
 * out. `outline` is that of the samples; a caller that has it passes it on. Refuses when nothing is enclosed.
 */
export function measureVolume(
  ink: Ink,
  line: Runs,
  regions: Regions,
  samples: LineSamples,
  { leastAreaPx2 = 64 }: { leastAreaPx2?: number } = {},
  outline = outlineOf(ink, regions, samples),
): Volume | Refused {
  const { pieces } = regions;
  const { areaPx2: strips, perimeterPx } = stripsOf(regions, outline);
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
  const words = bareWords(coverage, width * height);
  for (let y = 0; y < height; y++) {
    for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++) {
      const piece = pieces.ofRun[k]!;
      if (!isEnclosed(regions, piece)) continue;
      let covered = 0;
      for (let i = y * width + runs.start[k]!, end = y * width + runs.end[k]!; i < end; i++) {
        if ((i & 3) === 0) i = afterBare(words, i, end);
        if (i < end) covered += coverage[i]!;
      }
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
function stripsOf(regions: Regions, { region, edgePx, lengthPx, turnRad }: Outline) {
  const areaPx2 = new Float64Array(regions.pieces.count);
  const perimeterPx = new Float64Array(regions.pieces.count);
  for (let k = 0; k < region.length; k++) {
    perimeterPx[region[k]!]! += lengthPx[k]!;
    areaPx2[region[k]!]! += stripPx2(edgePx[k]!, lengthPx[k]!, turnRad[k]!);
  }
  return { areaPx2, perimeterPx };
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
