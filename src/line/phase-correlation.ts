import { fft2 } from './fft.ts';
import type { Grid } from './reduce.ts';

/** Finest step of the sub-cell search. */
const UPSAMPLE = 32;

/**
 * The shift that brings `moving` onto `fixed`, in cells, by normalised cross power spectrum, refined by a
 * matrix-multiply DFT round the peak (Guizar-Sicairos, Thurman & Fienup 2008). `peak` is the share of the
 * whole correlation that lies in it, 0..1. Shifts beyond half the grid's padded size wrap round.
 */
export function phaseShift(moving: Grid, fixed: Grid): { dx: number; dy: number; peak: number } {
  const side = (n: number) => 2 ** Math.ceil(Math.log2(Math.max(2, n)));
  const w = side(Math.max(moving.width, fixed.width) * 1.25);
  const h = side(Math.max(moving.height, fixed.height) * 1.25);
  // Two real grids in one complex transform: `fixed` as the real part, `moving` as the imaginary one.
  const re = place(fixed, w, h);
  const im = place(moving, w, h);
  fft2(re, im, w, h, false);
  const crossRe = new Float64Array(w * h);
  const crossIm = new Float64Array(w * h);
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      const i = y * w + x;
      const j = ((h - y) % h) * w + ((w - x) % w);
      const fr = (re[i]! + re[j]!) / 2;
      const fi = (im[i]! - im[j]!) / 2;
      const mr = (im[i]! + im[j]!) / 2;
      const mi = (re[j]! - re[i]!) / 2;
      const cr = fr * mr + fi * mi;
      const ci = fi * mr - fr * mi;
      // Square-root whitening: full whitening lets the empty high frequencies of line art outvote the line.
      const norm = Math.sqrt(Math.hypot(cr, ci)) || 1;
      crossRe[i] = cr / norm;
      crossIm[i] = ci / norm;
    }
  }
  re.set(crossRe);
  im.set(crossIm);
  fft2(re, im, w, h, true);
  let best = 0;
  let energy = 0;
  for (let i = 0; i < re.length; i++) {
    energy += re[i]! * re[i]!;
    if (re[i]! > re[best]!) best = i;
  }
  const unwrap = (v: number, n: number) => (v > n / 2 ? v - n : v);
  const coarse = { dx: unwrap(best % w, w), dy: unwrap(Math.floor(best / w), h) };
  const fine = refine(crossRe, crossIm, w, h, coarse);
  return { ...fine, peak: energy > 0 ? (re[best]! * re[best]!) / energy : 0 };
}

function place(grid: Grid, w: number, h: number): Float64Array {
  const out = new Float64Array(w * h);
  for (let y = 0; y < grid.height; y++) {
    out.set(grid.a.subarray(y * grid.width, (y + 1) * grid.width), y * w);
  }
  return out;
}

/** Evaluates the correlation on a fine raster of ±1 cell round `at`, first along x for each row frequency. */
function refine(
  re: Float64Array,
  im: Float64Array,
  w: number,
  h: number,
  at: { dx: number; dy: number },
): { dx: number; dy: number } {
  const count = 2 * UPSAMPLE + 1;
  const rowRe = new Float64Array(h * count);
  const rowIm = new Float64Array(h * count);
  for (let k = 0; k < count; k++) {
    const dx = at.dx + (k - UPSAMPLE) / UPSAMPLE;
    for (let u = 0; u < w; u++) {
      const angle = (2 * Math.PI * (u > w / 2 ? u - w : u) * dx) / w;
      const c = Math.cos(angle);
      const s = Math.sin(angle);
      for (let v = 0; v < h; v++) {
        const i = v * w + u;
        rowRe[v * count + k]! += re[i]! * c - im[i]! * s;
        rowIm[v * count + k]! += re[i]! * s + im[i]! * c;
      }
    }
  }
  let top = { dx: at.dx, dy: at.dy, value: -Infinity };
  for (let l = 0; l < count; l++) {
    const dy = at.dy + (l - UPSAMPLE) / UPSAMPLE;
    const sums = new Float64Array(count);
    for (let v = 0; v < h; v++) {
      const angle = (2 * Math.PI * (v > h / 2 ? v - h : v) * dy) / h;
      const c = Math.cos(angle);
      const s = Math.sin(angle);
      for (let k = 0; k < count; k++) sums[k]! += rowRe[v * count + k]! * c - rowIm[v * count + k]! * s;
    }
    for (let k = 0; k < count; k++) {
      if (sums[k]! > top.value) top = { dx: at.dx + (k - UPSAMPLE) / UPSAMPLE, dy, value: sums[k]! };
    }
  }
  return { dx: top.dx, dy: top.dy };
}
