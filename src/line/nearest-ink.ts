import type { InkMap } from './reduce.ts';

/**
 * Coverage from which a stroke of a rough counts as drawn: a soft pencil is faint at its edges, and a
 * searching stroke may be half as dark as the final one.
 */
export const DRAWN_FROM = 90;

/** Step along the way across a band. */
const STEP_PX = 0.25;

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
  const side = 2 * reach + 1;
  const keys = new Float64Array(side * side);
  let count = 0;
  for (let dy = -reach; dy <= reach; dy++) {
    for (let dx = -reach; dx <= reach; dx++) {
      const distSqPx = dx * dx + dy * dy;
      // By distance, then row by row: one number holds both.
      if (distSqPx <= reachPx * reachPx)
        keys[count++] = distSqPx * side * side + (dy + reach) * side + dx + reach;
    }
  }
  const order = new Int16Array(2 * count);
  keys
    .subarray(0, count)
    .sort()
    .forEach((key, k) => {
      const at = key % (side * side);
      order[2 * k] = (at % side) - reach;
      order[2 * k + 1] = Math.floor(at / side) - reach;
    });
  return order;
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
    while (near < last && coverageAt(ink, x + nx * near, y + ny * near) < DRAWN_FROM) near += STEP_PX;
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

/**
 * Where the ink that holds at `from` ends, along a direction, in steps of a quarter pixel. Looked for from the
 * far end of what a gap may span: where ink lies there, all before it need not be asked.
 */
function edge(
  ink: InkMap,
  x: number,
  y: number,
  nx: number,
  ny: number,
  from: number,
  { gapPx, mostPx }: { gapPx: number; mostPx: number },
): number {
  const gap = Math.floor(gapPx / STEP_PX);
  const most = Math.floor(mostPx / STEP_PX);
  let last = 0;
  let single = 0;
  for (let k = Math.min(gap, most); k > last; ) {
    const t = from + k * STEP_PX;
    if (single > 0 || k - last < 4) single--;
    else if (isBare(ink, x + nx * t, y + ny * t, x + nx * (t - 3 * STEP_PX), y + ny * (t - 3 * STEP_PX))) {
      k -= 4;
      continue;
    } else single = 3;
    if (coverageAt(ink, x + nx * t, y + ny * t) >= DRAWN_FROM) {
      last = k;
      k = Math.min(k + gap, most);
      single = 0;
    } else k--;
  }
  return from + last * STEP_PX;
}

/** Whether surely nothing is drawn between two points less than a pixel apart; where unsure, false. */
function isBare({ coverage: c, width, height }: InkMap, x: number, y: number, toX: number, toY: number) {
  const x0 = Math.floor(Math.min(x, toX) - 0.5);
  const y0 = Math.floor(Math.min(y, toY) - 0.5);
  if (x0 < 0 || y0 < 0 || x0 >= width - 2 || y0 >= height - 2) return false;
  const i = y0 * width + x0;
  const j = i + width;
  const k = j + width;
  // All that interpolation between them may ask for; their bits together are no less than the largest.
  const bits = c[i]! | c[i + 1]! | c[i + 2]! | c[j]! | c[j + 1]! | c[j + 2]! | c[k]! | c[k + 1]! | c[k + 2]!;
  return bits < DRAWN_FROM;
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
