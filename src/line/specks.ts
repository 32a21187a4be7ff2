import { components, pieceBox } from './components.ts';
import { type Ink, LINE_FROM } from './ink.ts';
import type { Box } from './picture.ts';
import { isEnclosed, type Regions } from './regions.ts';
import type { Runs } from './runs.ts';

/** A stray bit of ink, or a pinhole: a spot of paper that a fill of its neighbours leaves white. */
export interface Speck {
  readonly kind: 'speck' | 'pinhole';
  /** Middle of its box, px. */
  readonly xPx: number;
  readonly yPx: number;
  /** Pixels. */
  readonly areaPx2: number;
}

export interface SpeckOptions {
  /** Largest speck, px²: a crumb 8 px square. More than this was drawn on purpose. */
  readonly mostSpeckPx2?: number;
  /** Largest pinhole, px². */
  readonly mostPinholePx2?: number;
  /** Nearer than this to other ink, a bit of ink belongs to it (a broken or dry line), px. */
  readonly alonePx?: number;
}

/**
 * Specks (8-connected ink) and pinholes (4-connected paper inside the line), counted in whole pixels.
 * Eye dots and dotted lines look the same in one drawing; over a shot they recur, and the caller leaves them
 * out. `pieces` are the line's, 8-connected; a caller that has them passes them on.
 */
export function findSpecks(
  ink: Ink,
  line: Runs,
  regions: Regions,
  { mostSpeckPx2 = 64, mostPinholePx2 = 9, alonePx = 6 }: SpeckOptions = {},
  pieces = components(line, 8),
): Speck[] {
  const found: Speck[] = [];
  const add = (kind: Speck['kind'], [x, y, w, h]: Box, areaPx2: number): void => {
    found.push({ kind, xPx: x + w / 2, yPx: y + h / 2, areaPx2 });
  };
  for (let k = 0; k < pieces.count; k++) {
    if (pieces.areaPx2[k]! > mostSpeckPx2) continue;
    const box = pieceBox(pieces, k);
    if (isAlone(ink, box, alonePx)) add('speck', box, pieces.areaPx2[k]!);
  }
  for (let k = 0; k < regions.pieces.count; k++) {
    if (regions.pieces.areaPx2[k]! > mostPinholePx2 || !isEnclosed(regions, k)) continue;
    add('pinhole', pieceBox(regions.pieces, k), regions.pieces.areaPx2[k]!);
  }
  return found.sort((a, b) => a.yPx - b.yPx || a.xPx - b.xPx);
}

/** No line within the distance of the box, the box itself left out. */
function isAlone({ width, height, coverage }: Ink, [left, top, w, h]: Box, alonePx: number): boolean {
  for (let y = Math.max(0, top - alonePx); y < Math.min(height, top + h + alonePx); y++) {
    for (let x = Math.max(0, left - alonePx); x < Math.min(width, left + w + alonePx); x++) {
      const inBox = x >= left && x < left + w && y >= top && y < top + h;
      if (inBox || coverage[y * width + x]! < LINE_FROM) continue;
      const dx = Math.max(left - x, 0, x - (left + w - 1));
      const dy = Math.max(top - y, 0, y - (top + h - 1));
      if (dx * dx + dy * dy <= alonePx * alonePx) return false;
    }
  }
  return true;
}
