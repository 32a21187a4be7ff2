import type { InkMap } from './reduce.ts';

/**
 * Coverage from which a stroke of a rough counts as drawn: a soft pencil is faint at its edges, and a
 * searching stroke may be half as dark as the final one.
 */
export const DRAWN_FROM = 90;

/** The band of ink a point is measured against: one line, or several searching strokes side by side. */
export interface Band {
  /** From the point to the middle of the band. */
  readonly distancePx: number;
  readonly halfWidthPx: number;
  /** The band's middle, px of that drawing. */
  readonly x: number;
  readonly y: number;
}

/** Whole-pixel offsets in order of distance, for `nearestBand`. Make once for many questions. */
export function searchOrder(reachPx: number): Int16Array {
  const reach = Math.ceil(reachPx);
  const offsets: [number, number][] = [];
  for (let dy = -reach; dy <= reach; dy++) {
    for (let dx = -reach; dx <= reach; dx++)
      if (dx * dx + dy * dy <= reachPx * reachPx) offsets.push([dx, dy]);
  }
  offsets.sort((p, q) => p[0] * p[0] + p[1] * p[1] - q[0] * q[0] - q[1] * q[1]);
  return Int16Array.from(offsets.flat());
}

/**
 * The band nearest to a point: from the nearest ink pixel (or, inside ink, along the line's normal) straight
 * on until the ink ends for more than `gapPx`. Edges are where coverage crosses `DRAWN_FROM`, between pixels.
 * `undefined` when the search order's reach holds no ink. A band is cut off at `mostPx` from its near edge.
 */
export function nearestBand(
  ink: InkMap,
  x: number,
  y: number,
  normalRad: number,
  order: Int16Array,
  options: { gapPx: number; mostPx: number },
): Band | undefined {
  let nx = Math.cos(normalRad);
  let ny = Math.sin(normalRad);
  let near = 0;
  if (coverageAt(ink, x, y) < DRAWN_FROM) {
    const cx = Math.floor(x);
    const cy = Math.floor(y);
    let found = false;
    for (let k = 0; k < order.length && !found; k += 2) {
      const px = cx + order[k]!;
      const py = cy + order[k + 1]!;
      if (px < 0 || py < 0 || px >= ink.width || py >= ink.height) continue;
      if (ink.coverage[py * ink.width + px]! < DRAWN_FROM) continue;
      found = true;
      const dx = px + 0.5 - x;
      const dy = py + 0.5 - y;
      near = Math.hypot(dx, dy);
      if (near > 0) {
        nx = dx / near;
        ny = dy / near;
      }
    }
    if (!found) return undefined;
    near = Math.max(0, near - 1.5);
    // At a paper's edge interpolation never reaches the threshold: give up after the pixel itself.
    const last = near + 2;
    while (near < last && coverageAt(ink, x + nx * near, y + ny * near) < DRAWN_FROM) near += 0.25;
  } else {
    near = -edge(ink, x, y, -nx, -ny, 0, options);
  }
  const far = edge(ink, x, y, nx, ny, near, options);
  const middle = (near + far) / 2;
  return {
    distancePx: Math.abs(middle),
    halfWidthPx: (far - near) / 2,
    x: x + nx * middle,
    y: y + ny * middle,
  };
}

/** Where the ink that holds at `from` ends, along a direction. */
function edge(
  ink: InkMap,
  x: number,
  y: number,
  nx: number,
  ny: number,
  from: number,
  { gapPx, mostPx }: { gapPx: number; mostPx: number },
): number {
  let last = from;
  for (let t = from; t - last <= gapPx && t - from <= mostPx; t += 0.25) {
    if (coverageAt(ink, x + nx * t, y + ny * t) >= DRAWN_FROM) last = t;
  }
  return last;
}

/** Coverage between pixel centres, bilinear; paper outside. */
export function coverageAt(ink: InkMap, x: number, y: number): number {
  const px = x - 0.5;
  const py = y - 0.5;
  const x0 = Math.floor(px);
  const y0 = Math.floor(py);
  if (x0 < 0 || y0 < 0 || x0 >= ink.width - 1 || y0 >= ink.height - 1) return 0;
  const i = y0 * ink.width + x0;
  const c = ink.coverage;
  const fx = px - x0;
  const top = c[i]! + fx * (c[i + 1]! - c[i]!);
  const low = c[i + ink.width]! + fx * (c[i + ink.width + 1]! - c[i + ink.width]!);
  return top + (py - y0) * (low - top);
}
