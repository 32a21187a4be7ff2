import { solve } from '../solve.ts';
import type { Point } from './step-place.ts';

/** A dot of the path; undefined where a drawing has none. */
export type Dots = readonly (Point | undefined)[];

export interface Arc {
  /** Way to the dot before it, px; undefined for the first. */
  readonly spacingPx: readonly (number | undefined)[];
  /** How far a dot lies off the arc of its neighbours, px; undefined where they are too few to tell. */
  readonly offPx: readonly (number | undefined)[];
  /** Dots that are called out: farther off than what is borne there. */
  readonly off: readonly boolean[];
  /** The arc as a line to draw, through the dots that lie on it. */
  readonly curve: readonly Point[];
}

/** Dots of each side that a dot is judged by. */
const SIDE = 3;
/** Fewer others than this have no arc. */
const LEAST = 3;

/**
 * The arc through the dots of a path, and how far each dot lies off it. A dot is left out and the smooth curves that
 * its neighbours suggest are asked how near they come: as many of them as there are ways for dots to be timed (by their
 * spacing, by their number, by their shape alone). The nearest counts: neither a turn of a to-and-fro nor uneven
 * spacing lies off every one. The farthest dot is taken out first, so that it does not put its neighbours off.
 * The first and the last dot are not judged: beyond them nothing says where the arc went.
 */
export function arcOf(dots: Dots, tolerancePx: number): Arc {
  const off = dots.map(() => false);
  let offPx: (number | undefined)[];
  for (;;) {
    const judged = dots.map((dot, k) => dot && offArc(dots, off, k));
    offPx = judged.map((one) => one?.px);
    let worst = -1;
    for (const [k, one] of judged.entries()) {
      if (!one || off[k] || one.px <= tolerancePx + DOUBT * one.doubtPx) continue;
      if (worst < 0 || one.px > offPx[worst]!) worst = k;
    }
    if (worst < 0) break;
    off[worst] = true;
  }
  return { spacingPx: spacingOf(dots), offPx, off, curve: curveOf(dots.filter((_, k) => !off[k])) };
}

function spacingOf(dots: Dots): (number | undefined)[] {
  let before: Point | undefined;
  return dots.map((dot) => {
    const spacing = dot && before && distance(before, dot);
    if (dot) before = dot;
    return spacing;
  });
}

interface Other {
  readonly k: number;
  readonly at: Point;
}

/** The nearest dots to one side, those off the arc left out. */
function others(dots: Dots, off: readonly boolean[], k: number, step: 1 | -1): Other[] {
  const out: Other[] = [];
  for (let n = k + step; n >= 0 && n < dots.length && out.length < SIDE; n += step) {
    const at = dots[n];
    if (at && !off[n]) out.push({ k: n, at });
  }
  return out;
}

/** How far the curves differ counts this much: few dots of a tight arc say little of what lies between them. */
const DOUBT = 1;

function offArc(
  dots: Dots,
  off: readonly boolean[],
  k: number,
): { readonly px: number; readonly doubtPx: number } | undefined {
  const before = others(dots, off, k, -1);
  const after = others(dots, off, k, 1);
  if (before.length === 0 || after.length === 0 || before.length + after.length < LEAST) return undefined;
  const dot = dots[k]!;
  const two = [...before.slice(0, 2).reverse(), ...after.slice(0, 2)];
  const three = [...before.toReversed(), ...after];
  const number = ({ k: n }: Other) => n;
  const timed = [
    toTimed(dot, two, two.map(number), Math.min(2, before.length)),
    toTimed(dot, three, three.map(number), before.length),
    toTimed(dot, two, chords(two), Math.min(2, before.length)),
  ];
  const px = Math.min(
    ...timed,
    toParabola(
      dot,
      three.map(({ at }) => at),
    ),
  );
  return { px, doubtPx: Math.max(...timed) - px };
}

function chords(line: readonly Other[]): number[] {
  let sum = 0;
  return line.map(({ at }, n) => {
    if (n > 0) sum += Math.max(1e-3, distance(line[n - 1]!.at, at));
    return sum;
  });
}

/** Distance to the polynomial through the others, between the two that the dot lies between (Lagrange). */
function toTimed(dot: Point, line: readonly Other[], times: readonly number[], left: number): number {
  const [from, to] = [times[left - 1]!, times[left]!];
  let best = Infinity;
  let last: Point | undefined;
  const steps = 24;
  for (let s = 0; s <= steps; s++) {
    const at = lagrange(line, times, from + ((to - from) * s) / steps);
    if (last) best = Math.min(best, toPiece(dot, last, at));
    last = at;
  }
  return best;
}

function lagrange(line: readonly Other[], times: readonly number[], t: number): Point {
  let [x, y] = [0, 0];
  for (let p = 0; p < line.length; p++) {
    let share = 1;
    for (let q = 0; q < line.length; q++) if (q !== p) share *= (t - times[q]!) / (times[p]! - times[q]!);
    x += share * line[p]!.at[0];
    y += share * line[p]!.at[1];
  }
  return [x, y];
}

/** Distance to the parabola that lies best between the others, across their main direction. */
function toParabola([px, py]: Point, line: readonly Point[]): number {
  const n = line.length;
  const mx = line.reduce((sum, [x]) => sum + x / n, 0);
  const my = line.reduce((sum, [, y]) => sum + y / n, 0);
  let [sxx, sxy, syy] = [0, 0, 0];
  for (const [x, y] of line) {
    sxx += (x - mx) ** 2;
    sxy += (x - mx) * (y - my);
    syy += (y - my) ** 2;
  }
  const angle = Math.atan2(2 * sxy, sxx - syy) / 2;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const turned = ([x, y]: Point): Point => [c * (x - mx) + s * (y - my), -s * (x - mx) + c * (y - my)];
  const scale = Math.max(1, Math.sqrt((sxx + syy) / n));
  const h = new Float64Array(9);
  const g = new Float64Array(3);
  for (const point of line) {
    const [u, v] = turned(point);
    const row = [1, u / scale, (u / scale) ** 2];
    for (let p = 0; p < 3; p++) {
      g[p]! += row[p]! * v;
      for (let q = 0; q < 3; q++) h[3 * p + q]! += row[p]! * row[q]!;
    }
  }
  h[8]! += 1e-3;
  h[4]! += 1e-6;
  const fit = solve(h, g);
  if (!fit) return Infinity;
  const at = (u: number): Point => [u, fit[0]! + fit[1]! * (u / scale) + fit[2]! * (u / scale) ** 2];
  const dot = turned([px, py]);
  const along = line.map((point) => turned(point)[0]);
  const [least, most] = [Math.min(...along), Math.max(...along)];
  // An extreme lies a spacing beyond its neighbours; a hold says nothing of what lies far from it.
  const beyond = (most - least) / 2;
  const reach = 1.5 * scale;
  let best = Infinity;
  let last: Point | undefined;
  for (let step = -12; step <= 12; step++) {
    const u = dot[0] + (step / 12) * reach;
    const point = at(Math.max(least - beyond, Math.min(most + beyond, u)));
    if (last) best = Math.min(best, toPiece(dot, last, point));
    last = point;
  }
  return best;
}

function toPiece([x, y]: Point, [ax, ay]: Point, [bx, by]: Point): number {
  const [dx, dy] = [bx - ax, by - ay];
  const along = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1)));
  return Math.hypot(x - ax - along * dx, y - ay - along * dy);
}

const distance = (p: Point, q: Point): number => Math.hypot(p[0] - q[0], p[1] - q[1]);

/** Pieces of the drawn curve between two dots. */
const PIECES = 12;

/** Catmull–Rom through the dots, timed by the root of their way (Yuksel et al. 2011): it makes no loop where dots crowd. */
function curveOf(dots: Dots): Point[] {
  const line = dots.filter((dot) => dot !== undefined);
  if (line.length < 3) return line;
  const out: Point[] = [];
  for (let k = 0; k + 1 < line.length; k++) {
    const [p1, p2] = [line[k]!, line[k + 1]!];
    const p0 = line[k - 1] ?? mirrored(p2, p1);
    const p3 = line[k + 2] ?? mirrored(p1, p2);
    const root = (a: Point, b: Point) => Math.sqrt(distance(a, b)) || 1e-3;
    const t1 = root(p0, p1);
    const t2 = t1 + root(p1, p2);
    const t3 = t2 + root(p2, p3);
    for (let s = 0; s < PIECES; s++) {
      const t = t1 + ((t2 - t1) * s) / PIECES;
      const a1 = mixed(p0, p1, 0, t1, t);
      const a2 = mixed(p1, p2, t1, t2, t);
      const a3 = mixed(p2, p3, t2, t3, t);
      out.push(mixed(mixed(a1, a2, 0, t2, t), mixed(a2, a3, t1, t3, t), t1, t2, t));
    }
  }
  out.push(line.at(-1)!);
  return out;
}

const mirrored = ([x, y]: Point, [mx, my]: Point): Point => [2 * mx - x, 2 * my - y];

function mixed(p: Point, q: Point, from: number, to: number, t: number): Point {
  const share = (t - from) / (to - from);
  return [p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])];
}
