import type { Grid } from './reduce.ts';
import { solve } from './solve.ts';

/** A rigid move, in cells: turn about the grid's centre, then shift. */
export interface Rigid {
  readonly dx: number;
  readonly dy: number;
  readonly angleRad: number;
}

/**
 * Rigid move of `moving` onto `fixed` that maximises the enhanced correlation coefficient, by its
 * forward-additive Gauss-Newton iteration (Evangelidis & Psarakis 2008, eq. 21-23). Both grids have one
 * size. `rho` is the correlation reached, −1..1. Starts at `start`; converges within about a line's width.
 * The fixed grid is sampled at the moved points, so `dx` is how far a moving line must travel.
 */
export function ecc(
  moving: Grid,
  fixed: Grid,
  start: Rigid,
  options: { iterations?: number; turns?: boolean } = {},
): Rigid & { rho: number } {
  const { iterations = 12, turns = true } = options;
  const { width, height } = moving;
  const cx = (width - 1) / 2;
  const cy = (height - 1) / 2;
  const n = turns ? 3 : 2;
  let { dx, dy, angleRad } = start;
  let rho = -1;
  const seen = nearInk(moving, fixed, 4 + Math.hypot(dx, dy));
  for (let round = 0; round <= iterations; round++) {
    const c = Math.cos(angleRad);
    const s = Math.sin(angleRad);
    const h = new Float64Array(n * n);
    const sumG = new Float64Array(n);
    const gW = new Float64Array(n);
    const gT = new Float64Array(n);
    const g = new Float64Array(3);
    let count = 0;
    let sumW = 0;
    let sumT = 0;
    let sumWW = 0;
    let sumTT = 0;
    let sumWT = 0;
    for (let y = 1; y < height - 1; y++) {
      for (let x = 1; x < width - 1; x++) {
        if (!seen[y * width + x]) continue;
        const rx = x - cx;
        const ry = y - cy;
        const px = cx + c * rx - s * ry + dx;
        const py = cy + s * rx + c * ry + dy;
        const x0 = Math.floor(px);
        const y0 = Math.floor(py);
        if (x0 < 1 || y0 < 1 || x0 > fixed.width - 3 || y0 > fixed.height - 3) continue;
        const i = y0 * fixed.width + x0;
        const fx = px - x0;
        const fy = py - y0;
        const a = fixed.a;
        const value = bilinear(a, i, fixed.width, fx, fy);
        const gx = (bilinear(a, i + 1, fixed.width, fx, fy) - bilinear(a, i - 1, fixed.width, fx, fy)) / 2;
        const gy =
          (bilinear(a, i + fixed.width, fixed.width, fx, fy) -
            bilinear(a, i - fixed.width, fixed.width, fx, fy)) /
          2;
        const t = moving.a[y * width + x]!;
        g[0] = gx;
        g[1] = gy;
        g[2] = gx * (-s * rx - c * ry) + gy * (c * rx - s * ry);
        count++;
        sumW += value;
        sumT += t;
        sumWW += value * value;
        sumTT += t * t;
        sumWT += value * t;
        for (let j = 0; j < n; j++) {
          sumG[j]! += g[j]!;
          gW[j]! += g[j]! * value;
          gT[j]! += g[j]! * t;
          for (let k = 0; k <= j; k++) h[j * n + k]! += g[j]! * g[k]!;
        }
      }
    }
    if (count === 0) break;
    const ww = sumWW - (sumW * sumW) / count;
    const tt = sumTT - (sumT * sumT) / count;
    const wt = sumWT - (sumW * sumT) / count;
    rho = ww > 0 && tt > 0 ? wt / Math.sqrt(ww * tt) : -1;
    if (round === iterations) break;
    for (let j = 0; j < n; j++) {
      gW[j]! -= (sumG[j]! * sumW) / count;
      gT[j]! -= (sumG[j]! * sumT) / count;
      for (let k = 0; k <= j; k++) {
        h[j * n + k]! -= (sumG[j]! * sumG[k]!) / count;
        h[k * n + j] = h[j * n + k]!;
      }
    }
    const hw = solve(h, gW);
    if (!hw) break;
    let top = ww;
    let bottom = wt;
    for (let j = 0; j < n; j++) {
      top -= gW[j]! * hw[j]!;
      bottom -= gT[j]! * hw[j]!;
    }
    const lambda = bottom > 0 ? top / bottom : 1;
    const step = solve(
      h,
      gT.map((value, j) => lambda * value - gW[j]!),
    );
    if (!step) break;
    dx += step[0]!;
    dy += step[1]!;
    if (turns) angleRad += step[2]!;
    const settled = Math.hypot(step[0]!, step[1]!) < 4e-3 && Math.abs(step[2] ?? 0) * width < 8e-3;
    if (settled) break;
  }
  return { dx, dy, angleRad, rho };
}

function bilinear(a: Float32Array, i: number, width: number, fx: number, fy: number): number {
  const top = a[i]! + fx * (a[i + 1]! - a[i]!);
  const low = a[i + width]! + fx * (a[i + width + 1]! - a[i + width]!);
  return top + fy * (low - top);
}

/** Cells within `reach` (square) of any ink of either grid: elsewhere there is nothing to correlate. */
function nearInk(moving: Grid, fixed: Grid, reach: number): Uint8Array {
  const { width, height } = moving;
  const r = Math.ceil(reach);
  const rows = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const there = y < fixed.height && x < fixed.width ? fixed.a[y * fixed.width + x]! : 0;
      if (moving.a[y * width + x]! < 0.02 && there < 0.02) continue;
      rows.fill(1, y * width + Math.max(0, x - r), y * width + Math.min(width, x + r + 1));
    }
  }
  const out = new Uint8Array(width * height);
  for (let x = 0; x < width; x++) {
    let last = -Infinity;
    for (let y = 0; y < height; y++) {
      if (rows[y * width + x]) last = y;
      if (y - last <= r) out[y * width + x] = 1;
    }
    last = Infinity;
    for (let y = height - 1; y >= 0; y--) {
      if (rows[y * width + x]) last = y;
      if (last - y <= r) out[y * width + x] = 1;
    }
  }
  return out;
}
