/** The final line: one even weight, smooth, thinning only where a line ends in the open. */
import { clamp, dist, type Pt } from './geometry.ts';
import { sway } from './random.ts';
import type { Run } from './scene.ts';

/** Ink from 0 (none) to 255 (full), one byte a pixel. */
export interface Inked {
  readonly width: number;
  readonly height: number;
  readonly ink: Uint8Array;
}

export function blankInk(width: number, height: number): Inked {
  return { width, height, ink: new Uint8Array(width * height) };
}

/** A line through `path` whose half width is given at each sample, anti-aliased by distance; darkest wins. */
export function inkLine(paper: Inked, path: readonly Pt[], halfWidth: (i: number) => number): void {
  const { width, height, ink } = paper;
  for (let i = 0; i < path.length; i++) {
    const a = path[i]!;
    const b = path[Math.min(i + 1, path.length - 1)]!;
    const wa = halfWidth(i);
    const wb = halfWidth(Math.min(i + 1, path.length - 1));
    const reach = Math.max(wa, wb) + 1;
    const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    const l2 = dx * dx + dy * dy || 1e-9;
    const x1 = Math.min(width - 1, Math.ceil(Math.max(a[0], b[0]) + reach));
    const y1 = Math.min(height - 1, Math.ceil(Math.max(a[1], b[1]) + reach));
    for (let y = Math.max(0, Math.floor(Math.min(a[1], b[1]) - reach)); y <= y1; y++)
      for (let x = Math.max(0, Math.floor(Math.min(a[0], b[0]) - reach)); x <= x1; x++) {
        // Pixel centres lie at half coordinates.
        const px = x + 0.5 - a[0];
        const py = y + 0.5 - a[1];
        const t = clamp((px * dx + py * dy) / l2, 0, 1);
        const d = Math.sqrt((px - t * dx) ** 2 + (py - t * dy) ** 2);
        const cover = clamp(wa + (wb - wa) * t - d + 0.5, 0, 1) * 255;
        const at = y * width + x;
        if (cover > ink[at]!) ink[at] = Math.round(cover);
      }
  }
}

/** Fills where `inside` holds; 4 × 4 samples in a pixel whose corners differ. */
export function inkFill(
  paper: Inked,
  box: readonly [x0: number, y0: number, x1: number, y1: number],
  inside: (p: Pt) => boolean,
): void {
  for (let y = Math.max(0, Math.floor(box[1])); y <= Math.min(paper.height - 1, box[3]); y++)
    for (let x = Math.max(0, Math.floor(box[0])); x <= Math.min(paper.width - 1, box[2]); x++) {
      const corners =
        Number(inside([x, y])) +
        Number(inside([x + 1, y])) +
        Number(inside([x, y + 1])) +
        Number(inside([x + 1, y + 1]));
      const at = y * paper.width + x;
      if (corners === 4) paper.ink[at] = 255;
      if (corners === 0 || corners === 4) continue;
      let hits = 0;
      for (let k = 0; k < 16; k++) if (inside([x + ((k & 3) + 0.5) / 4, y + ((k >> 2) + 0.5) / 4])) hits++;
      paper.ink[at] = Math.max(paper.ink[at]!, Math.round((hits * 255) / 16));
    }
}

/** Half widths along a run of `weightPx`: even to 3 %, thinning to a third over an open end. */
export function lineWeight(run: Run, weightPx: number, next: () => number): (i: number) => number {
  const along = [0];
  for (let i = 1; i < run.path.length; i++) along.push(along[i - 1]! + dist(run.path[i - 1]!, run.path[i]!));
  const length = along.at(-1)!;
  const taperPx = Math.min(weightPx * 9, length * 0.42);
  const life = sway(next, 90);
  const ease = (s: number): number => 0.34 + 0.66 * Math.sin((clamp(s / taperPx, 0, 1) * Math.PI) / 2);
  return (i) => {
    const s = along[i]!;
    const start = run.taper[0] ? ease(s) : 1;
    const end = run.taper[1] ? ease(length - s) : 1;
    return (weightPx / 2) * Math.min(start, end) * (1 + (run.closed ? 0 : 0.03 * life(s)));
  };
}

export function inkRun(paper: Inked, run: Run, weightPx: number, next: () => number): void {
  const path = run.closed ? [...run.path, run.path[0]!] : run.path;
  inkLine(paper, path, lineWeight({ ...run, path }, weightPx, next));
}
