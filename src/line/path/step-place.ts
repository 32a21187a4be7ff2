import type { AlongSamples } from '../along.ts';
import { type LineMap, lineMap } from '../line-map.ts';
import { type Move, movePoint } from '../move.ts';
import { isRefused, type Refused } from '../refused.ts';
import type { LineSamples } from '../samples.ts';
import { nearestOnLine, type PatchMove, settlePatch } from '../settle-patch.ts';
import { type Field, moveOf, type PairMatch } from './match-pair.ts';

/** Image px. */
export type Point = readonly [x: number, y: number];

/** Where a place was found. */
export interface Step {
  readonly at: Point;
  /** How sure that is: its standard error, px. */
  readonly errorPx: number;
}

/*
 * The limits below were chosen on the even pictures of the maker of motions (`tests/support/motions.ts`); figures come
 * from the odd ones. All lengths but those in px are shares of the drawing's diagonal.
 */
/** What lies this near moves along with a place: the least that holds it in both directions is taken. */
const RADII = [0.05, 0.075, 0.11, 0.16] as const;
/** Pieces this near say where to look. */
const NEAR = 0.12;
/** Starts that are settled; the nearest pieces' own. */
const MOST_STARTS = 8;
const LEAST_POINTS = 12;
/** With less of its line found again the place is hidden, or somewhere else. */
const LEAST_ON_LINE = 0.7;
/** A fit that costs more than this (0 on the line, 1 nowhere near it) is none. */
const MOST_COST = 0.3;
/** Another place costs at least this much more, or either may be meant. */
const LEAST_AHEAD = 0.04;
/** Half of the nearest pieces moved within this of the place, px: a place torn from them is in doubt. */
const MOST_ASTRAY_PX = 8;
const MOST_ERROR_PX = 1.6;
/** From where it was found the place itself is found again this near, px. */
const MOST_BACK_PX = 3.5;
/** A fit is trusted no closer than this, px: what a hand leaves. */
const LEAST_RESIDUAL_PX = 0.5;

/**
 * Where a place of drawing `a` lies in drawing `b`. It goes where the line around it went: the moves of the nearest
 * pieces (`matchPair`) are settled on the little line that holds the place, and the best is taken. Refused, with the
 * reason, when the line does not hold it, is not there, lies at two places, or does not lead back. A place may lie
 * beside the line, such as an eye's middle.
 */
export function stepPlace(
  place: Point,
  a: AlongSamples,
  b: AlongSamples,
  { forth, back }: PairMatch,
): Step | Refused {
  const there = oneWay(place, a, b, forth);
  if (isRefused(there)) return there;
  const again = oneWay(there.at, b, a, back);
  if (isRefused(again) || apart(again.at, place) > MOST_BACK_PX)
    return { refused: 'what was found there does not lead back to it' };
  return there;
}

/** `loose`: more of the line around may hold it. */
type Tried = Step | (Refused & { readonly loose?: true });

function oneWay(place: Point, from: AlongSamples, to: AlongSamples, field: Field): Step | Refused {
  let found: Tried = { refused: 'no line lies near it' };
  for (const radius of RADII) {
    found = within(radius * field.diagonalPx, place, from, to, field);
    if (!isRefused(found) || !found.loose) return found;
  }
  return found;
}

function within(radiusPx: number, place: Point, from: AlongSamples, to: AlongSamples, field: Field): Tried {
  const { diagonalPx } = field;
  const members = around(from, place, radiusPx);
  if (members.length < LEAST_POINTS) return { refused: 'too little line lies near it', loose: true };
  const moves = nearestMoves(field, place);
  if (moves.length === 0) return { refused: 'no line lies near it' };
  const patch = { x: place[0], y: place[1], members };
  const reachPx = 0.02 * diagonalPx;
  const tried = distinct(moves, place, reachPx).flatMap((start) => {
    const map = mapAround(to, movePoint(start, ...place), 1.6 * radiusPx + 2 * reachPx, diagonalPx);
    if (!map) return [];
    const fit = settlePatch(from, patch, map, start, {
      widestPx: reachPx,
      narrowestPx: Math.max(2, 0.004 * diagonalPx),
      rigidRounds: 3,
      affineRounds: 6,
    });
    return { fit, at: movePoint(fit.move, ...place), cost: costOf(from, patch, map, fit.move, diagonalPx) };
  });
  tried.sort((p, q) => p.cost - q.cost);
  const [best] = tried;
  if (!best || best.fit.onLine < LEAST_ON_LINE || best.cost > MOST_COST)
    return { refused: 'too little of the line around it is found again' };
  const otherPx = Math.max(6, 0.01 * diagonalPx);
  if (tried.some(({ at, cost }) => apart(at, best.at) > otherPx && cost < best.cost + LEAST_AHEAD))
    return { refused: 'it may be at either of two places' };
  if (astrayPx(moves.slice(0, 6), place, best.at) > MOST_ASTRAY_PX)
    return { refused: 'the line around it went somewhere else' };
  const errorPx = errorOf(best.fit);
  if (errorPx > MOST_ERROR_PX)
    return {
      refused: 'the line there looks the same all along, so its place on it is not sure',
      loose: true,
    };
  return { at: best.at, errorPx };
}

const apart = (p: Point, q: Point): number => Math.hypot(p[0] - q[0], p[1] - q[1]);

function nearestMoves(field: Field, place: Point): Move[] {
  const near: { readonly k: number; readonly far: number }[] = [];
  for (let k = 0; k < field.sure.length; k++) {
    const far = apart([field.at[2 * k]!, field.at[2 * k + 1]!], place);
    if (far < NEAR * field.diagonalPx) near.push({ k, far });
  }
  return near.sort((p, q) => p.far - q.far).map(({ k }) => moveOf(field, k));
}

function astrayPx(moves: readonly Move[], place: Point, at: Point): number {
  const off = moves.map((move) => apart(movePoint(move, ...place), at)).sort((p, q) => p - q);
  return off[off.length >> 1]!;
}

/** Standard error along the direction in which the fit holds least. */
function errorOf({ spread: [xx, xy, yy], residualPx }: PatchMove): number {
  const most = (xx + yy) / 2 + Math.hypot((xx - yy) / 2, xy);
  return Math.sqrt(most) * (LEAST_RESIDUAL_PX + residualPx);
}

/** Mean distance from like-running line, 0 on it and 1 nowhere near it; what lies nearest to the place counts most. */
function costOf(
  from: AlongSamples,
  patch: { readonly x: number; readonly y: number; readonly members: Uint32Array },
  map: LineMap,
  move: Move,
  diagonalPx: number,
): number {
  const mostPx = 0.012 * diagonalPx;
  const line = map.samples;
  let [sum, weights] = [0, 0];
  for (const i of patch.members) {
    const far = Math.hypot(from.x[i]! - patch.x, from.y[i]! - patch.y) / (0.03 * diagonalPx);
    const weight = 1 / (1 + far * far);
    const [x, y] = movePoint(move, from.x[i]!, from.y[i]!);
    const ux = move.xx * from.alongX[i]! + move.xy * from.alongY[i]!;
    const uy = move.yx * from.alongX[i]! + move.yy * from.alongY[i]!;
    const j = nearestOnLine(map, x, y, ux, uy, mostPx);
    weights += weight;
    sum +=
      j < 0
        ? weight
        : weight *
          Math.min(
            1,
            Math.abs(line.alongX[j]! * (line.y[j]! - y) - line.alongY[j]! * (line.x[j]! - x)) / mostPx,
          );
  }
  return sum / weights;
}

function around({ x, y }: LineSamples, [px, py]: Point, radiusPx: number): Uint32Array {
  const out: number[] = [];
  for (let i = 0; i < x.length; i++) if ((x[i]! - px) ** 2 + (y[i]! - py) ** 2 < radiusPx ** 2) out.push(i);
  return Uint32Array.from(out);
}

/** Only the line near a place, so that its map is small. */
function mapAround(
  samples: LineSamples,
  at: Point,
  radiusPx: number,
  diagonalPx: number,
): LineMap | undefined {
  const kept = around(samples, at, radiusPx);
  if (kept.length < LEAST_POINTS / 2) return undefined;
  const of = (values: Float32Array) => Float32Array.from(kept, (i) => values[i]!);
  const near: LineSamples = {
    stepPx: samples.stepPx,
    x: of(samples.x),
    y: of(samples.y),
    tangentRad: of(samples.tangentRad),
    widthPx: of(samples.widthPx),
    chainStart: Uint32Array.of(0, kept.length),
    chainClosed: Uint8Array.of(0),
  };
  return lineMap(near, Math.max(1, diagonalPx / 200), 0.03 * diagonalPx);
}

/** Moves that put the place in one spot at one turn are settled once. */
function distinct(moves: readonly Move[], place: Point, withinPx: number): Move[] {
  const kept: Move[] = [];
  for (const move of moves) {
    if (kept.length === MOST_STARTS) break;
    const at = movePoint(move, ...place);
    const known = kept.some(
      (other) =>
        apart(movePoint(other, ...place), at) < withinPx &&
        Math.abs(other.yx - move.yx) + Math.abs(other.xx - move.xx) < 0.3,
    );
    if (!known) kept.push(move);
  }
  return kept;
}
