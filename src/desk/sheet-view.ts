/** Where things stand on the exposure sheet, in CSS px. Pure. */

/** High enough for a number with its circle; a thumb runs over rows and need not hit one. */
export const rowPx = 28;
export const framesColumnPx = 34;
export const levelColumnPx = 58;

/** Rows the sheet may be moved past its end, so that the last frame is not at the very edge. */
const pastEnd = 2;

export function clampTop(top: number, frames: number, heightPx: number): number {
  const most = Math.max(0, frames + pastEnd - heightPx / rowPx);
  return Math.min(most, Math.max(0, top));
}

/** The new top row when `frame` must be in view with some rows around it; the old one if it is. */
export function topThatShows(top: number, frame: number, frames: number, heightPx: number): number {
  const around = 3;
  const rows = heightPx / rowPx;
  if (frame - 1 < top + around) return clampTop(frame - 1 - around, frames, heightPx);
  if (frame > top + rows - around) return clampTop(frame - rows + around, frames, heightPx);
  return top;
}

export function frameUnder(yPx: number, top: number, frames: number): number {
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
