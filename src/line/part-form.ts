/**
 * The form of a closed part, without its place, size, squash and stretch: distance from the middle to the outline in
 * `FORM_BINS` directions, after its second moments are made round (an ellipse is 2 all round). What is left of two forms
 * is a turn, which `turnBetween` finds; with it the whole change of a part is known as squash, stretch and turn.
 */
import type { Outline } from './outline.ts';
import type { LineSamples } from './samples.ts';

/** Second moments by area, px²: [xx, xy, yy]. */
export type Spread = readonly [xx: number, xy: number, yy: number];
type Matrix = readonly [xx: number, xy: number, yx: number, yy: number];

const FORM_BINS = 32;
/** Turns looked at to either side: an eighth of a full turn. */
const MOST_TURN = FORM_BINS / 8;

/** The form of each part. Directions that no outline lies in take the value between their neighbours. */
export function formsOf(
  parts: readonly {
    readonly region: number;
    readonly centroid: readonly [number, number];
    readonly spreadPx2: Spread;
  }[],
  { region, sample }: Outline,
  { x, y }: LineSamples,
): number[][] {
  const order = new Map(parts.map((part, n) => [part.region, n]));
  const round = parts.map(({ spreadPx2 }) => inverse(rootOf(spreadPx2)));
  const forms = parts.map(() => Array.from({ length: FORM_BINS }, () => 0));
  for (let k = 0; k < region.length; k++) {
    const n = order.get(region[k]!);
    if (n === undefined) continue;
    const [mx, my] = parts[n]!.centroid;
    const [xx, xy, yx, yy] = round[n]!;
    const [dx, dy] = [x[sample[k]!]! - mx, y[sample[k]!]! - my];
    const [u, v] = [xx * dx + xy * dy, yx * dx + yy * dy];
    const turn = Math.atan2(v, u) / (2 * Math.PI);
    const bin = Math.floor((turn < 0 ? turn + 1 : turn) * FORM_BINS) % FORM_BINS;
    forms[n]![bin] = Math.max(forms[n]![bin]!, Math.hypot(u, v));
  }
  return forms.map(filled);
}

function filled(radii: number[]): number[] {
  if (radii.every((radius) => radius === 0)) return radii;
  const at = (bin: number) => radii[(bin + 2 * FORM_BINS) % FORM_BINS]!;
  return radii.map((radius, bin) => {
    if (radius > 0) return radius;
    let [before, after] = [bin, bin];
    while (at(before) === 0) before--;
    while (at(after) === 0) after++;
    return at(before) + ((at(after) - at(before)) * (bin - before)) / (after - before);
  });
}

/** How far two forms differ, as a share of their size: root mean square, at the turn (up to 45°) that fits best. */
export function formApart(a: readonly number[], b: readonly number[]): number {
  return Math.sqrt(bestTurn(a, b).sum / FORM_BINS) / 2;
}

/** How jagged a form is, as a share of its size: root mean square from each direction to the next. 0 is an ellipse. */
export function jagsOf(form: readonly number[]): number {
  const sum = form.reduce((total, radius, k) => total + (radius - form[(k + 1) % FORM_BINS]!) ** 2, 0);
  return Math.sqrt(sum / FORM_BINS) / 2;
}

/** The turn from one form to the other, in bins, and the sum of squares that is left. */
function bestTurn(a: readonly number[], b: readonly number[]): { turn: number; sum: number } {
  let best = { turn: 0, sum: Infinity };
  const look = (turn: number) => {
    const whole = Math.floor(turn);
    const part = turn - whole;
    let sum = 0;
    for (let k = 0; k < FORM_BINS; k++) {
      const at = (k + whole + FORM_BINS) % FORM_BINS;
      const turned = part === 0 ? b[at]! : (1 - part) * b[at]! + part * b[(at + 1) % FORM_BINS]!;
      sum += (a[k]! - turned) ** 2;
    }
    if (sum < best.sum) best = { turn, sum };
  };
  for (let turn = -MOST_TURN; turn <= MOST_TURN; turn++) look(turn);
  const coarse = best.turn;
  for (const part of [-0.75, -0.5, -0.25, 0.25, 0.5, 0.75]) look(coarse + part);
  return best;
}

interface Formed {
  readonly form: readonly number[];
  readonly spreadPx2: Spread;
}

/**
 * By what a part grew from one drawing to another along the two directions that it grew most and least, logarithms, the
 * larger one first: equal for a growth, opposite for squash and stretch, one of them 0 for a form that turns out of the
 * paper. The linear map that carries the second moments and the form of one to the other's.
 */
export function growthBetween(from: Formed, to: Formed): readonly [most: number, least: number] {
  const turnRad = (bestTurn(from.form, to.form).turn * 2 * Math.PI) / FORM_BINS;
  const [cos, sin] = [Math.cos(turnRad), Math.sin(turnRad)];
  const [a, b, c, d] = times(
    times(rootOf(to.spreadPx2), [cos, -sin, sin, cos]),
    inverse(rootOf(from.spreadPx2)),
  );
  // Singular values of a 2 × 2 matrix: half the sum and half the difference of two lengths.
  const sum = Math.hypot(a + d, b - c) / 2;
  const difference = Math.hypot(a - d, b + c) / 2;
  return [Math.log(sum + difference), Math.log(Math.max(1e-9, Math.abs(sum - difference)))];
}

/** Square root of a symmetric matrix, by Cayley and Hamilton: √M = (M + √det I) / √(tr + 2√det). */
function rootOf([xx, xy, yy]: Spread): Matrix {
  const det = Math.sqrt(Math.max(1e-9, xx * yy - xy * xy));
  const t = Math.sqrt(xx + yy + 2 * det);
  return [(xx + det) / t, xy / t, xy / t, (yy + det) / t];
}

function inverse([a, b, c, d]: Matrix): Matrix {
  const det = a * d - b * c;
  return [d / det, -b / det, -c / det, a / det];
}

function times([a, b, c, d]: Matrix, [e, f, g, h]: Matrix): Matrix {
  return [a * e + b * g, a * f + b * h, c * e + d * g, c * f + d * h];
}
