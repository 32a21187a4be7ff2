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
  const { width } = moving;
  const n = turns ? 3 : 2;
  let { dx, dy, angleRad } = start;
  let rho = -1;
  const seen = nearInk(moving, fixed, 4 + Math.hypot(dx, dy));
  const inked = inkedRound(fixed);
  const sums = new Float64Array(SUMS);
  for (let round = 0; round <= iterations; round++) {
    // The last round asks only how well the two agree.
    correlate(moving, fixed, seen, inked, dx, dy, angleRad, round < iterations, sums);
    const [count, sumW, sumT, sumWW, sumTT, sumWT] = sums as unknown as Six;
    if (count === 0) break;
    const ww = sumWW - (sumW * sumW) / count;
    const tt = sumTT - (sumT * sumT) / count;
    const wt = sumWT - (sumW * sumT) / count;
    rho = ww > 0 && tt > 0 ? wt / Math.sqrt(ww * tt) : -1;
    if (round === iterations) break;
    const sumG = sums.subarray(6, 9);
    const gW = sums.slice(9, 9 + n);
    const gT = sums.slice(12, 12 + n);
    const [h00, h10, h11, h20, h21, h22] = sums.subarray(15) as unknown as Six;
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

type Six = readonly [number, number, number, number, number, number];

/** Values that `correlate` leaves. */
const SUMS = 21;

/**
 * Sums over the cells seen, of the moving grid's ink t, of the fixed one's ink w where the cell comes to lie, and
 * of the slopes g of w with the move: count, Σw, Σt, Σw², Σt², Σwt, then Σg, Σgw, Σgt for each of the three
 * slopes, and Σgg for 00, 10, 11, 20, 21, 22. Without `sloped` only the first six.
 *
 * Most of a registration's time, so a function of its own: within the longer one it was compiled anew in nearly
 * every drawing.
 */
function correlate(
  { a: own, width, height }: Grid,
  { a, width: fixedWidth, height: fixedHeight }: Grid,
  seen: Uint8Array,
  inked: Uint8Array,
  dx: number,
  dy: number,
  angleRad: number,
  sloped: boolean,
  sums: Float64Array,
): void {
  const cx = (width - 1) / 2;
  const cy = (height - 1) / 2;
  const c = Math.cos(angleRad);
  const s = Math.sin(angleRad);
  let count = 0;
  let sumW = 0;
  let sumT = 0;
  let sumWW = 0;
  let sumTT = 0;
  let sumWT = 0;
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let w0 = 0;
  let w1 = 0;
  let w2 = 0;
  let t0 = 0;
  let t1 = 0;
  let t2 = 0;
  let h00 = 0;
  let h10 = 0;
  let h11 = 0;
  let h20 = 0;
  let h21 = 0;
  let h22 = 0;
  for (let y = 1; y < height - 1; y++) {
    const ry = y - cy;
    const sry = s * ry;
    const cry = c * ry;
    for (let x = 1, at = y * width + 1; x < width - 1; x++, at++) {
      if (seen[at] === 0) continue;
      const rx = x - cx;
      const px = cx + c * rx - sry + dx;
      const py = cy + s * rx + cry + dy;
      const x0 = Math.floor(px);
      const y0 = Math.floor(py);
      if (x0 < 1 || y0 < 1 || x0 > fixedWidth - 3 || y0 > fixedHeight - 3) continue;
      count++;
      const i = y0 * fixedWidth + x0;
      const t = own[at]!;
      sumT += t;
      sumTT += t * t;
      // All that comes below would be nought.
      if (inked[i] === 0) continue;
      const fx = px - x0;
      const fy = py - y0;
      const low = i + fixedWidth;
      const p0 = a[i]!;
      const p1 = a[i + 1]!;
      const q0 = a[low]!;
      const q1 = a[low + 1]!;
      // Bilinear, and the central differences of bilinear values one cell to each side.
      const top = p0 + fx * (p1 - p0);
      const bottom = q0 + fx * (q1 - q0);
      const value = top + fy * (bottom - top);
      sumW += value;
      sumWW += value * value;
      sumWT += value * t;
      if (!sloped) continue;
      const up = i - fixedWidth;
      const low2 = low + fixedWidth;
      const across = (1 - fx) * (p1 - a[i - 1]!) + fx * (a[i + 2]! - p0);
      const acrossLow = (1 - fx) * (q1 - a[low - 1]!) + fx * (a[low + 2]! - q0);
      const gx = (across + fy * (acrossLow - across)) / 2;
      const above = a[up]! + fx * (a[up + 1]! - a[up]!);
      const below = a[low2]! + fx * (a[low2 + 1]! - a[low2]!);
      const gy = ((1 - fy) * (bottom - above) + fy * (below - top)) / 2;
      const gTurn = gx * (-s * rx - cry) + gy * (c * rx - sry);
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
  const first = [count, sumW, sumT, sumWW, sumTT, sumWT];
  sums.set([...first, s0, s1, s2, w0, w1, w2, t0, t1, t2, h00, h10, h11, h20, h21, h22]);
}

/** Cells within `reach` (square) of any ink of either grid: elsewhere there is nothing to correlate. */
function nearInk(moving: Grid, fixed: Grid, reach: number): Uint8Array {
  const { width, height } = moving;
  const r = Math.ceil(reach);
  const rows = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    const row = y * width;
    // Columns before this are marked as far as they will be.
    let marked = 0;
    for (let x = 0; x < width; x++) {
      const there = y < fixed.height && x < fixed.width ? fixed.a[y * fixed.width + x]! : 0;
      if (moving.a[row + x]! < 0.02 && there < 0.02) continue;
      const end = Math.min(width, x + r + 1);
      for (let k = Math.max(marked, x - r); k < end; k++) rows[row + k] = 1;
      marked = end;
    }
  }
  const out = new Uint8Array(width * height);
  // Marked rows within reach above and below, column by column, as the window moves down.
  const within = new Int32Array(width);
  for (let y = -r; y < height; y++) {
    const enters = (y + r) * width;
    if (y + r < height) for (let x = 0; x < width; x++) within[x]! += rows[enters + x]!;
    const leaves = (y - r - 1) * width;
    if (leaves >= 0) for (let x = 0; x < width; x++) within[x]! -= rows[leaves + x]!;
    if (y >= 0) for (let x = 0, row = y * width; x < width; x++) out[row + x] = within[x]! > 0 ? 1 : 0;
  }
  return out;
}

/** Cells of which any of the four by four from one to the left and above is inked at all: those a slope asks for. */
function inkedRound({ a, width, height }: Grid): Uint8Array {
  const rows = new Uint8Array(width * height);
  for (let i = 0; i < a.length; i++) {
    // Marks that run over into a neighbouring row do no harm: they only cost a look.
    if (a[i] !== 0) for (let k = Math.max(0, i - 2); k <= i + 1; k++) rows[k] = 1;
  }
  const out = new Uint8Array(width * height);
  for (let i = width; i < rows.length - 2 * width; i++) {
    out[i] = rows[i - width]! | rows[i]! | rows[i + width]! | rows[i + 2 * width]!;
  }
  return out;
}
