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
  const a = fixed.a;
  const fw = fixed.width;
  const seen = nearInk(moving, fixed, 4 + Math.hypot(dx, dy));
  for (let round = 0; round <= iterations; round++) {
    const c = Math.cos(angleRad);
    const s = Math.sin(angleRad);
    // Sums in plain variables: the loop below is most of a registration's time.
    let [s0, s1, s2, w0, w1, w2, t0, t1, t2] = [0, 0, 0, 0, 0, 0, 0, 0, 0];
    let [h00, h10, h11, h20, h21, h22] = [0, 0, 0, 0, 0, 0];
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
        const i = y0 * fw + x0;
        const fx = px - x0;
        const fy = py - y0;
        const up = i - fw;
        const low = i + fw;
        const low2 = low + fw;
        const [p0, p1] = [a[i]!, a[i + 1]!];
        const [q0, q1] = [a[low]!, a[low + 1]!];
        // Bilinear, and the central differences of bilinear values one cell to each side.
        const top = p0 + fx * (p1 - p0);
        const bottom = q0 + fx * (q1 - q0);
        const value = top + fy * (bottom - top);
        const across = (1 - fx) * (p1 - a[i - 1]!) + fx * (a[i + 2]! - p0);
        const acrossLow = (1 - fx) * (q1 - a[low - 1]!) + fx * (a[low + 2]! - q0);
        const gx = (across + fy * (acrossLow - across)) / 2;
        const above = a[up]! + fx * (a[up + 1]! - a[up]!);
        const below = a[low2]! + fx * (a[low2 + 1]! - a[low2]!);
        const gy = ((1 - fy) * (bottom - above) + fy * (below - top)) / 2;
        const t = moving.a[y * width + x]!;
        const gTurn = gx * (-s * rx - c * ry) + gy * (c * rx - s * ry);
        count++;
        sumW += value;
        sumT += t;
        sumWW += value * value;
        sumTT += t * t;
        sumWT += value * t;
        s0 += gx;
        s1 += gy;
        s2 += gTurn;
        w0 += gx * value;
        w1 += gy * value;
        w2 += gTurn * value;
        t0 += gx * t;
        t1 += gy * t;
        t2 += gTurn * t;
        h00 += gx * gx;
        h10 += gy * gx;
        h11 += gy * gy;
        h20 += gTurn * gx;
        h21 += gTurn * gy;
        h22 += gTurn * gTurn;
      }
    }
    if (count === 0) break;
    const ww = sumWW - (sumW * sumW) / count;
    const tt = sumTT - (sumT * sumT) / count;
    const wt = sumWT - (sumW * sumT) / count;
    rho = ww > 0 && tt > 0 ? wt / Math.sqrt(ww * tt) : -1;
    if (round === iterations) break;
    const sumG = [s0, s1, s2];
    const gW = Float64Array.of(w0, w1, w2).subarray(0, n);
    const gT = Float64Array.of(t0, t1, t2).subarray(0, n);
    const h = turns
      ? Float64Array.of(h00, 0, 0, h10, h11, 0, h20, h21, h22)
      : Float64Array.of(h00, 0, h10, h11);
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
  const last = new Int32Array(width).fill(-r - 1);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      if (rows[y * width + x]) last[x] = y;
      if (y - last[x]! <= r) out[y * width + x] = 1;
    }
  }
  last.fill(height + r);
  for (let y = height - 1; y >= 0; y--) {
    for (let x = 0; x < width; x++) {
      if (rows[y * width + x]) last[x] = y;
      if (last[x]! - y <= r) out[y * width + x] = 1;
    }
  }
  return out;
}
