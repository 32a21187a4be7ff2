/**
 * Where a drawing lies between two others: patch by patch, then the whole, then its parts. How far patches
 * agree on one place stands in `place-together.ts`.
 */
import { withAlong } from './along.ts';
import { arcFraction } from './arc-fraction.ts';
import { boxOf } from './box.ts';
import { matchBetween, neighboursOf, targetOf } from './match-line.ts';
import { movePoint, turnOf } from './move.ts';
import { type Patch, patchesOf } from './patches.ts';
import type { Box } from './picture.ts';
import {
  errorOf,
  type PatchPlace,
  placeOf,
  placeTogether,
  TOGETHER,
  type Together,
} from './place-together.ts';
import type { Refused } from './refused.ts';
import type { LineSamples } from './samples.ts';
import type { PatchMove } from './settle-patch.ts';
import { quantile } from './statistics.ts';
import { thin } from './thin.ts';

interface SpacingPart {
  readonly bbox: Box;
  /** 0 at the first drawing, 1 at the second. */
  readonly measured: number;
  /** How sure that is: its standard error. */
  readonly error: number;
  /** How far the part travels from the first to the second, px. */
  readonly movePx: number;
  /** Mid-line of the in-between that belongs to it, px. */
  readonly lengthPx: number;
}

/** One patch of the in-between's line, as it was read. */
export interface SpacingPatch extends PatchPlace {
  /** Its centre. */
  readonly xPx: number;
  readonly yPx: number;
  /** Mid-line that is nearest to it, px. */
  readonly lengthPx: number;
  /** Index of the part that it belongs to. */
  readonly part: number;
}

/** What the whole is judged from, so that it can be judged again without some of it. */
interface Read {
  /** Pieces that move together in time, the longest line first. */
  readonly parts: readonly SpacingPart[];
  /** Those that move. */
  readonly patches: readonly SpacingPatch[];
  /** A place less sure than this is refused. */
  readonly mostError: number;
}

export interface Spacing extends Together, Read {}

/** Also where the whole has no one place its patches may have been read. */
export interface SpacingRefused extends Refused, Partial<Read> {}

/** Points of a drawing's line that are matched: more finds no more. */
const MOST_POINTS = 1500;
/** Under this much motion a place between says nothing: half a px of noise would be a tenth. */
const LEAST_MOVE_PX = 5;
/** A patch with less of its line found in either neighbour is hidden, or matched wrongly. */
const LEAST_ON_LINE = 0.6;
/** A patch with less of its line found back where it came from shares its place with another, and is in doubt. */
const LEAST_BACK = 0.5;
/** With less of the drawing found again than this, what was found may be chance. */
const LEAST_FOUND = 0.25;
/** With less than this, it must agree this closely: what is found by chance does not. */
const ENOUGH_FOUND = 0.45;
const CLOSE = 0.012;
/** A place farther from the middle than this (−0.25 to 1.25) is a wrong match. */
const MOST_BEYOND = 0.75;

/** One patch's path from A to B, as seen from C. */
interface Reading extends PatchPlace {
  readonly patch: Patch;
  /** The part of the motion that the line shows, across itself. */
  readonly acrossPx: number;
}

const NO_MOTION = { fraction: Number.NaN, movePx: 0, acrossPx: 0, offPathPx: 0, error: Infinity };
/** A fit is trusted no closer than this, however well its own few points agree. */
const LEAST_RESIDUAL_PX = 0.5;
/** A patch whose fraction is less sure than this is left out: its line slides along itself, or moves little. */
const MOST_ERROR = 0.08;

/**
 * Where drawing C lies between A and B: each small patch of C is found in A and in B (`matchBetween`), and its
 * fraction taken along the arc of its centre and the share of its turn, each by its length. The whole is that of most
 * of the moving line; parts are neighbouring patches with one fraction. Refuses, with the reason, when too little
 * moves or is found again, when two halves lie at two places, or when the fits say too little.
 */
export function measureSpacing(
  a: LineSamples,
  b: LineSamples,
  c: LineSamples,
  paper: { readonly width: number; readonly height: number },
): Spacing | SpacingRefused {
  for (const [name, samples] of Object.entries({ first: a, second: b, 'in-between': c })) {
    if (samples.x.length < 12) return { refused: `the ${name} drawing is blank` };
  }
  const [, , width, height] = boxOf(c.x, c.y, paper);
  const diagonalPx = Math.max(60, Math.hypot(width, height));
  const stride = (samples: LineSamples) => Math.max(1, Math.floor(samples.x.length / MOST_POINTS));
  const line = withAlong(thin(c, stride(c)));
  const patches = patchesOf(line, 0.075 * diagonalPx, 0.6, 28).filter(({ members }) => members.length >= 8);
  const {
    a: toA,
    b: toB,
    back,
  } = matchBetween(
    line,
    patches,
    targetOf(thin(a, stride(a)), diagonalPx),
    targetOf(thin(b, stride(b)), diagonalPx),
    diagonalPx,
  );
  const owned = ownedBy(line, patches);
  const all = patches.map((patch, k) =>
    back[k]! >= LEAST_BACK ? readPatch(line, patch, owned[k]!.length, toA[k]!, toB[k]!) : undefined,
  );
  const found = all.filter((reading) => reading !== undefined);
  if (found.length < LEAST_FOUND * patches.length) {
    return { refused: 'too little of the drawing is found again in its two neighbours' };
  }
  const acrossPx = quantile(
    found.map((reading) => reading.acrossPx),
    0.9,
  );
  if (acrossPx < LEAST_MOVE_PX) {
    return { refused: `it moves too little to tell (${acrossPx.toFixed(1)} px from one to the other)` };
  }
  const readings = all.map((reading) =>
    reading &&
    reading.acrossPx >= LEAST_MOVE_PX / 2 &&
    reading.movePx >= LEAST_MOVE_PX &&
    reading.error <= MOST_ERROR &&
    Math.abs(reading.fraction - 0.5) <= MOST_BEYOND
      ? reading
      : undefined,
  );
  const moving = readings.filter((reading) => reading !== undefined);
  if (moving.length === 0)
    return { refused: 'its lines only slide along themselves, which shows no place between' };
  const mostError = found.length < ENOUGH_FOUND * patches.length ? CLOSE : MOST_ERROR / 2;
  const { parts, partOf } = partsOf(line, patches, owned, readings, diagonalPx, paper);
  const byPatch = readings.flatMap((reading, k): SpacingPatch[] => {
    if (!reading) return [];
    const { patch, fraction, movePx, offPathPx, weight, error } = reading;
    const lengthPx = owned[k]!.length * line.stepPx;
    return [
      { xPx: patch.x, yPx: patch.y, fraction, error, movePx, offPathPx, weight, lengthPx, part: partOf[k]! },
    ];
  });
  return { ...placeTogether(moving, mostError), parts, patches: byPatch, mostError };
}

/** The points nearest to each patch's centre. Patches overlap, the more the denser the line: what one owns is line once. */
function ownedBy(c: LineSamples, patches: readonly Patch[]): number[][] {
  const owned = patches.map((): number[] => []);
  for (let i = 0; i < c.x.length; i++) {
    let [best, bestSq] = [0, Infinity];
    for (let k = 0; k < patches.length; k++) {
      const sq = (patches[k]!.x - c.x[i]!) ** 2 + (patches[k]!.y - c.y[i]!) ** 2;
      if (sq < bestSq) [best, bestSq] = [k, sq];
    }
    owned[best]?.push(i);
  }
  return owned;
}

function readPatch(
  c: LineSamples,
  patch: Patch,
  owned: number,
  toA: PatchMove,
  toB: PatchMove,
): Reading | undefined {
  const onLine = Math.min(toA.onLine, toB.onLine);
  if (onLine < LEAST_ON_LINE) return undefined;
  const atA = movePoint(toA.move, patch.x, patch.y);
  const atB = movePoint(toB.move, patch.x, patch.y);
  const path = arcFraction(atA, [patch.x, patch.y], atB);
  let radiusSq = 0;
  let acrossSq = 0;
  for (const i of patch.members) {
    radiusSq += (c.x[i]! - patch.x) ** 2 + (c.y[i]! - patch.y) ** 2;
    const a = movePoint(toA.move, c.x[i]!, c.y[i]!);
    const b = movePoint(toB.move, c.x[i]!, c.y[i]!);
    acrossSq +=
      (-Math.sin(c.tangentRad[i]!) * (b[0] - a[0]) + Math.cos(c.tangentRad[i]!) * (b[1] - a[1])) ** 2;
  }
  const n = patch.members.length;
  const turnRad = turnOf(toB.move) - turnOf(toA.move);
  const turnSq = (radiusSq / n) * turnRad ** 2;
  const travelSq = path.lengthPx ** 2;
  if (travelSq + turnSq < 1e-6) return { ...NO_MOTION, patch, weight: Math.max(1, owned) * onLine };
  const ofTravel = travelSq > 0 ? travelSq * path.fraction : 0;
  const ofTurn = turnSq > 0 ? turnSq * (-turnOf(toA.move) / turnRad) : 0;
  const movePx = Math.sqrt(travelSq + turnSq);
  const acrossPx = Math.sqrt(acrossSq / n);
  const ux = (atB[0] - atA[0]) / (path.lengthPx || 1);
  const uy = (atB[1] - atA[1]) / (path.lengthPx || 1);
  const varianceOf = ({ spread: [xx, xy, yy], residualPx }: PatchMove) =>
    (ux * ux * xx + 2 * ux * uy * xy + uy * uy * yy) * (LEAST_RESIDUAL_PX + residualPx) ** 2;
  const errorPx = Math.sqrt(varianceOf(toA) + varianceOf(toB));
  return {
    patch,
    fraction: (ofTravel + ofTurn) / (travelSq + turnSq),
    movePx,
    acrossPx,
    offPathPx: path.offChordPx,
    weight: Math.max(1, owned) * onLine * Math.min(acrossPx, 40),
    error: errorPx / movePx,
  };
}

/** Grows parts over neighbouring patches whose fractions agree, from the surest patch on. */
function partsOf(
  c: LineSamples,
  patches: readonly Patch[],
  owned: readonly (readonly number[])[],
  readings: readonly (Reading | undefined)[],
  diagonalPx: number,
  paper: { readonly width: number; readonly height: number },
): { readonly parts: SpacingPart[]; readonly partOf: readonly (number | undefined)[] } {
  const neighbours = neighboursOf(patches, 0.11 * diagonalPx);
  const order = readings
    .flatMap((reading, k) => (reading ? k : []))
    .sort((p, q) => readings[q]!.weight - readings[p]!.weight);
  const owner = new Map<number, number>();
  const groups: number[][] = [];
  for (const first of order) {
    if (owner.has(first)) continue;
    const group = [first];
    owner.set(first, groups.length);
    for (let k = 0; k < group.length; k++) {
      const centre = placeOf(group.map((p) => readings[p]!));
      for (const n of neighbours[group[k]!]!) {
        const reading = readings[n];
        if (!reading || owner.has(n)) continue;
        if (Math.abs(reading.fraction - centre) > TOGETHER + reading.error) continue;
        owner.set(n, groups.length);
        group.push(n);
      }
    }
    groups.push(group);
  }
  const made = groups
    .map((group) => {
      const own = group.map((k) => readings[k]!);
      const measured = placeOf(own);
      const points = group.flatMap((k) => owned[k]!);
      const line = points.length > 0 ? points : [...patches[group[0]!]!.members];
      const part: SpacingPart = {
        bbox: boxOf(
          line.map((i) => c.x[i]!),
          line.map((i) => c.y[i]!),
          paper,
          2,
        ),
        measured,
        error: errorOf(own, measured),
        movePx: quantile(
          own.map(({ movePx }) => movePx),
          0.5,
        ),
        lengthPx: points.length * c.stepPx,
      };
      return { part, group };
    })
    .sort((p, q) => q.part.lengthPx - p.part.lengthPx);
  const partOf: (number | undefined)[] = patches.map(() => undefined);
  for (const [n, { group }] of made.entries()) for (const k of group) partOf[k] = n;
  return { parts: made.map(({ part }) => part), partOf };
}
