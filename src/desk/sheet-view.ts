/** Where things stand on the exposure sheet, in CSS px. Pure. */
import type { Level } from '../shot/model.ts';

/** What a thumb can hit (WCAG 2.2, 2.5.5): every drawing's rows together are at least so high. */
const thumbPx = 44;
/** High enough for a number with its circle. */
const leastRowPx = 28;

/** The sheet's measures at the system's text size. */
export interface SheetSizes {
  readonly rowPx: number;
  readonly framesPx: number;
  readonly levelPx: number;
  /** Height of a number's digits. */
  readonly numberPx: number;
}

/**
 * A drawing on ones has a single row, which then is as high as a thumb needs; on twos two rows are. Several levels
 * stand closer, as they take the paper's room.
 */
export function sheetSizes(levels: readonly Level[], textScale: number): SheetSizes {
  const shortest = Math.min(2, ...levels.flatMap(({ exposures }) => exposures.map(({ length }) => length)));
  const several = levels.length > 1;
  return {
    rowPx: Math.max(leastRowPx * textScale, thumbPx / Math.max(1, shortest)),
    framesPx: 28 * textScale,
    levelPx: (several ? 44 : 56) * textScale,
    numberPx: (several ? 13.5 : 15) * textScale,
  };
}

/** Rows the sheet may be moved past its end, so that the last frame is not at the very edge. */
const pastEnd = 2;

export function clampTop(top: number, frames: number, heightPx: number, rowPx: number): number {
  const most = Math.max(0, frames + pastEnd - heightPx / rowPx);
  return Math.min(most, Math.max(0, top));
}

/** The new top row when `frame` must be in view with some rows around it; the old one if it is. */
export function topThatShows(
  top: number,
  frame: number,
  frames: number,
  heightPx: number,
  rowPx: number,
): number {
  const rows = heightPx / rowPx;
  const around = Math.min(3, Math.max(0, Math.floor(rows / 3)));
  if (frame - 1 < top + around) return clampTop(frame - 1 - around, frames, heightPx, rowPx);
  if (frame > top + rows - around) return clampTop(frame - rows + around, frames, heightPx, rowPx);
  return top;
}

export function frameUnder(yPx: number, top: number, frames: number, rowPx: number): number {
  return Math.min(Math.max(1, frames), Math.max(1, Math.floor(top + yPx / rowPx) + 1));
}

/** Rows a second that the sheet runs by itself while the thumb rests near an edge; signed. */
export function edgeRun(yPx: number, heightPx: number): number {
  const edgePx = 44;
  const most = 40;
  if (yPx < edgePx) return -most * (1 - Math.max(0, yPx) / edgePx);
  if (yPx > heightPx - edgePx) return most * (1 - Math.max(0, heightPx - yPx) / edgePx);
  return 0;
}
