import type { Box } from './picture.ts';

/** The smallest whole-pixel box round points, grown by `marginPx` and kept on the paper. */
export function boxOf(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  paper: { readonly width: number; readonly height: number },
  marginPx = 0,
): Box {
  let left = Infinity;
  let top = Infinity;
  let right = -Infinity;
  let low = -Infinity;
  for (let i = 0; i < x.length; i++) {
    left = Math.min(left, x[i]!);
    right = Math.max(right, x[i]!);
    top = Math.min(top, y[i]!);
    low = Math.max(low, y[i]!);
  }
  left = Math.max(0, Math.floor(left - marginPx));
  top = Math.max(0, Math.floor(top - marginPx));
  right = Math.min(paper.width, Math.ceil(right + marginPx));
  low = Math.min(paper.height, Math.ceil(low + marginPx));
  return [left, top, Math.max(1, right - left), Math.max(1, low - top)];
}

/** The smallest box that holds both. */
export function boxUnion(a: Box, b: Box): Box {
  const x = Math.min(a[0], b[0]);
  const y = Math.min(a[1], b[1]);
  return [x, y, Math.max(a[0] + a[2], b[0] + b[2]) - x, Math.max(a[1] + a[3], b[1] + b[3]) - y];
}

/** Gap between two boxes, px; 0 when they touch or overlap. */
export function boxGap(a: Box, b: Box): number {
  const dx = Math.max(0, a[0] - b[0] - b[2], b[0] - a[0] - a[2]);
  const dy = Math.max(0, a[1] - b[1] - b[3], b[1] - a[1] - a[3]);
  return Math.hypot(dx, dy);
}
