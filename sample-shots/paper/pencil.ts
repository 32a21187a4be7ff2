/** Pencil on toothed paper: graphite over coloured construction, uneven pressure, searching strokes. */
import { clamp, dist, lerp, normals, type Pt, resample } from './geometry.ts';
import { random, sway } from './random.ts';
import type { Construction, Run } from './scene.ts';

export type Pencil = 'graphite' | 'red' | 'blue';

/** How much of each pencil lies at each pixel; unbounded sums. */
export interface Pencilled {
  readonly width: number;
  readonly height: number;
  readonly laid: Readonly<Record<Pencil, Float32Array>>;
  /** Per row, the first pixel that a stroke has reached and the one after the last. Untouched paper is skipped. */
  readonly from: Int32Array;
  readonly to: Int32Array;
}

export function blankPencil(width: number, height: number): Pencilled {
  const laid = (): Float32Array => new Float32Array(width * height);
  return {
    width,
    height,
    laid: { graphite: laid(), red: laid(), blue: laid() },
    from: new Int32Array(height).fill(width),
    to: new Int32Array(height),
  };
}

interface Touch {
  readonly pencil: Pencil;
  /** 0 to 1. */
  readonly pressure: number;
  readonly widthPx: number;
}

/** One stroke from end to end: the hand presses in, lets off, and the pressure wanders between. */
function stroke(paper: Pencilled, path: readonly Pt[], touch: Touch, next: () => number): void {
  const { width, height, from, to } = paper;
  const laid = paper.laid[touch.pencil];
  const wander = sway(next, 55);
  // Touches lie a quarter of the point's width apart; what each lays down is in proportion.
  const stepPx = touch.widthPx * 0.25;
  const fine = resample(path, false, stepPx);
  const [pressIn, letOff] = [0.05 + next() * 0.12, 0.12 + next() * 0.3];
  for (let i = 0; i < fine.length; i++) {
    const u = i / Math.max(1, fine.length - 1);
    const hand = clamp(Math.min(u / pressIn, (1 - u) / letOff), 0, 1);
    const pressure = touch.pressure * (0.25 + 0.75 * Math.sqrt(hand)) * (1 + 0.28 * wander(i * stepPx));
    const radius = touch.widthPx * (0.45 + 0.25 * hand);
    const weight = pressure * 0.62;
    const cx = fine[i]![0] - 0.5;
    const cy = fine[i]![1] - 0.5;
    const y1 = Math.min(height - 1, Math.floor(cy + radius));
    const x1 = Math.min(width - 1, Math.floor(cx + radius));
    const x0 = Math.max(0, Math.ceil(cx - radius));
    for (let y = Math.max(0, Math.ceil(cy - radius)); y <= y1; y++) {
      if (x0 < from[y]!) from[y] = x0;
      if (x1 >= to[y]!) to[y] = x1 + 1;
      for (let x = x0; x <= x1; x++) {
        const d2 = ((x - cx) * (x - cx) + (y - cy) * (y - cy)) / (radius * radius);
        if (d2 < 1) laid[y * width + x]! += weight * (1 - d2);
      }
    }
  }
}

interface Search {
  /** How far the stroke strays from the line, px. */
  readonly strayPx: number;
  /** Strokes are about this long, px. */
  readonly lengthPx: number;
  /** How far a stroke shoots past the end of the line, px. */
  readonly overshootPx: number;
  /** The share of the line that is drawn, 0 to 1. */
  readonly share: number;
}

/** Draws along `path` in overlapping strokes that look for it. */
function search(paper: Pencilled, path: readonly Pt[], touch: Touch, how: Search, next: () => number): void {
  const points = resample(path, false, 3);
  const normal = normals(points);
  const perStroke = Math.max(3, how.lengthPx / 3);
  for (let from = 0; from < points.length - 2; ) {
    const count = Math.round(perStroke * lerp(0.6, 1.4, next()));
    const to = Math.min(points.length, from + count);
    if (next() < how.share && to - from > 2) {
      const drift = sway(next, lerp(60, 130, next()));
      const bias = (next() - 0.5) * how.strayPx * 0.8;
      const piece = points.slice(from, to).map((p, k): Pt => {
        const off = drift(k * 3) * how.strayPx * 0.75 + bias;
        const n = normal[from + k]!;
        return [p[0] + n[0] * off, p[1] + n[1] * off];
      });
      if (to === points.length && how.overshootPx > 0) {
        const [a, b] = [piece.at(-3) ?? piece[0]!, piece.at(-1)!];
        const d = dist(a, b) || 1;
        const shoot = how.overshootPx * next();
        piece.push([b[0] + ((b[0] - a[0]) / d) * shoot, b[1] + ((b[1] - a[1]) / d) * shoot]);
      }
      stroke(paper, piece, { ...touch, pressure: touch.pressure * lerp(0.8, 1.15, next()) }, next);
    }
    from += Math.max(2, Math.round(count * 0.86));
  }
}

/** A rough line: a firm stroke on the line itself, lighter ones beside it. */
export function pencilRun(paper: Pencilled, run: Run, scale: number, next: () => number): void {
  const path = run.closed ? [...run.path, ...run.path.slice(0, 12)] : run.path;
  const graphite = (pressure: number, widthPx: number): Touch => ({
    pencil: 'graphite',
    pressure,
    widthPx: widthPx * scale,
  });
  const px = (how: Search): Search => ({
    strayPx: how.strayPx * scale,
    lengthPx: how.lengthPx * scale,
    overshootPx: how.overshootPx * scale,
    share: how.share,
  });
  search(paper, path, graphite(0.62, 3.3), px({ strayPx: 1, lengthPx: 190, overshootPx: 8, share: 1 }), next);
  search(
    paper,
    path,
    graphite(0.34, 2.8),
    px({ strayPx: 3.6, lengthPx: 140, overshootPx: 22, share: 0.85 }),
    next,
  );
  search(
    paper,
    path,
    graphite(0.17, 2.6),
    px({ strayPx: 8, lengthPx: 110, overshootPx: 34, share: 0.6 }),
    next,
  );
}

/** Construction under the drawing, twice over and light. */
export function pencilConstruction(
  paper: Pencilled,
  line: Construction,
  scale: number,
  next: () => number,
): void {
  for (const k of [1, 0.6])
    search(
      paper,
      line.path,
      { pencil: line.pencil, pressure: line.pressure * 0.3 * k, widthPx: 3.4 * scale },
      { strayPx: 4 * scale, lengthPx: 260 * scale, overshootPx: 14 * scale, share: 0.92 },
      next,
    );
}

/** Eyes and other solids: hatched in. */
export function pencilHatch(
  paper: Pencilled,
  box: readonly [x0: number, y0: number, x1: number, y1: number],
  inside: (p: Pt) => boolean,
  next: () => number,
): void {
  for (let c = box[0] + box[1]; c < box[2] + box[3]; c += 3.2) {
    const line: Pt[] = [];
    for (let x = box[0]; x <= box[2]; x += 1) {
      const p: Pt = [x + next() * 0.8, c - x];
      if (inside(p)) line.push(p);
    }
    if (line.length > 3) stroke(paper, line, { pencil: 'graphite', pressure: 0.55, widthPx: 3.4 }, next);
  }
}

const COLOUR: Readonly<Record<Pencil, readonly [number, number, number]>> = {
  graphite: [46, 46, 52],
  red: [206, 84, 62],
  blue: [74, 132, 196],
};

/** 16 steps of graphite by 16 of colour: none, red 1–7, blue 1–7, both. */
export function pencilPalette(): Uint8Array {
  const out = new Uint8Array(256 * 3);
  for (let i = 0; i < 256; i++) {
    const colour = i & 15;
    const share: Readonly<Record<Pencil, number>> = {
      graphite: (i >> 4) / 15,
      red: colour === 15 ? 0.45 : colour >= 1 && colour <= 7 ? colour / 7 : 0,
      blue: colour === 15 ? 0.45 : colour >= 8 && colour <= 14 ? (colour - 7) / 7 : 0,
    };
    for (let c = 0; c < 3; c++) {
      let value = 255;
      for (const pencil of ['red', 'blue', 'graphite'] as const)
        value = lerp(value, lerp(255, COLOUR[pencil][c]!, pencil === 'graphite' ? 1 : 0.85), share[pencil]);
      out[i * 3 + c] = Math.round(value);
    }
  }
  return out;
}

/** The pencilled paper as indices into `pencilPalette`, the paper's tooth showing through the strokes. */
export function pencilPixels(paper: Pencilled, seed: number): Uint8Array {
  const { width, height, laid } = paper;
  const out = new Uint8Array(width * height);
  const next = random(seed);
  const tooth = Float32Array.from({ length: 256 * 256 }, () => next());
  const rough = Float32Array.from(tooth, (v, i) => {
    const [x, y] = [i & 255, i >> 8];
    const right = tooth[(y << 8) | ((x + 1) & 255)]!;
    const below = tooth[(((y + 1) & 255) << 8) | x]!;
    return 0.35 + 1.3 * (0.5 * v + 0.25 * right + 0.25 * below);
  });
  const { graphite, red, blue } = laid;
  for (let y = 0; y < height; y++) {
    const row = (y & 255) << 8;
    // Each band of the tooth is shifted, so that the tile does not show.
    const shift = (y >> 8) * 97;
    const end = paper.to[y]!;
    for (let x = paper.from[y]!, i = y * width + x; x < end; x++, i++) {
      const g = graphite[i]!;
      const r = red[i]!;
      const b = blue[i]!;
      if (g + r + b === 0) continue;
      const grain = rough[row | ((x + shift) & 255)]! ** 2;
      const cr = Math.round((1 - Math.exp(-r * grain)) * 7);
      const cb = Math.round((1 - Math.exp(-b * grain)) * 7);
      const both = cr > 1 && cb > 1;
      const colour = both ? 15 : cb > cr ? cb + 7 : cr;
      out[i] = (Math.round((1 - Math.exp(-g * grain)) * 15) << 4) | colour;
    }
  }
  return out;
}
