import type { Box } from './picture.ts';

/** How far points reach, px. */
export type Extent = readonly [left: number, top: number, right: number, low: number];

/** The smallest whole-pixel box round points, grown by `marginPx` and kept on the paper. */
export function boxOf(x: ArrayLike<number>, y: ArrayLike<number>, paper: Size, marginPx = 0): Box {
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
  return boxAround([left, top, right, low], paper, marginPx);
}

/** As `boxOf`, round what points are known to reach. */
export function boxAround(extent: Extent, paper: Size, marginPx = 0): Box {
  const left = Math.max(0, Math.floor(extent[0] - marginPx));
  const top = Math.max(0, Math.floor(extent[1] - marginPx));
  const right = Math.min(paper.width, Math.ceil(extent[2] + marginPx));
  const low = Math.min(paper.height, Math.ceil(extent[3] + marginPx));
  return [left, top, Math.max(1, right - left), Math.max(1, low - top)];
}

/** How far some of the points reach. */
export function extentOf(members: readonly number[], x: Float32Array, y: Float32Array): Extent {
  let left = Infinity;
  let top = Infinity;
  let right = -Infinity;
  let low = -Infinity;
  for (const i of members) {
    left = Math.min(left, x[i]!);
    right = Math.max(right, x[i]!);
    top = Math.min(top, y[i]!);
    low = Math.max(low, y[i]!);
  }
  return [left, top, right, low];
}

/** What both reach together. */
export function extentUnion(a: Extent, b: Extent): Extent {
  return [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[2], b[2]), Math.max(a[3], b[3])];
}

interface Size {
  readonly width: number;
  readonly height: number;
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
