import type { AlongSamples } from './along.ts';
import { type Choice, chooseTogether } from './choose-together.ts';
import { foundBack } from './found-back.ts';
import { guessMoves, looksOf } from './guess-moves.ts';
import { directionAlong, type LineMap, lineMap, mapDistance } from './line-map.ts';
import { type Move, movePoint, turnOf } from './move.ts';
import type { Patch } from './patches.ts';
import type { LineSamples } from './samples.ts';
import { type Search, searchMove } from './search-move.ts';
import { type PatchMove, settlePatch } from './settle-patch.ts';

/** A drawing ready to be searched. */
export function targetOf(samples: LineSamples, diagonalPx: number): LineMap {
  return lineMap(samples, Math.max(1, diagonalPx / 200), 0.06 * diagonalPx);
}

/** Where a piece of the in-between lies in the drawing before it and in the one after it. */
interface Pair {
  readonly a: Move;
  readonly b: Move;
}

/** Pairs of moves weighed for each patch. */
const CHOICES = 14;
/** Cost of a patch that lies nowhere near a line, in either drawing, is 1. A move as large as the drawing costs this. */
const RESTRAINT = 0.04;
/** What it costs when the patch does not lie between its two places. */
const ASTRAY = 0.25;
/** What it costs when two neighbours part, each. */
const PARTING = 0.12;
/** Neighbours whose moves differ by this much at the place between them have parted, as a share of the diagonal. */
const PARTED = 0.05;
const SWEEPS = 3;
/** A patch that costs more than this, in either drawing, was not found there. */
const LOST = 0.35;
/** Lost patches this near are taken for one limb, as a share of the diagonal. */
const LIMB = 0.12;
/** How far: what a limb may swing beyond the body. */
const ROUND: Search = { reach: 0.14, step: 0.014, turnRad: 0.9, turnStepRad: 0.15 };

/**
 * Where each patch of a drawing lies in the two drawings that it is between. The moves that explain the whole and its
 * parts come first (`guessMoves`); then every patch takes the pair of them that fits both drawings, that leaves it
 * between its two places, and that its neighbours share. It is settled there, and what it found is offered to its
 * neighbours (Barnes et al. 2009), so that what bends is followed from where it bends least. `back` is the share of each patch's line that
 * comes back to it from both (`foundBack`).
 */
export function matchBetween(
  c: AlongSamples,
  patches: readonly Patch[],
  a: LineMap,
  b: LineMap,
  diagonalPx: number,
): { a: PatchMove[]; b: PatchMove[]; back: number[]; neighbours: number[][] } {
  const looks = looksOf(c, diagonalPx);
  const toA = guessMoves(c, a, diagonalPx, looks);
  const toB = guessMoves(c, b, diagonalPx, looks);
  const neighbours = neighboursOf(patches, 0.13 * diagonalPx);
  const costs = (tauPx: number) => (patch: Patch, pair: Pair) =>
    costOf(c, patch, a, pair.a, tauPx) +
    costOf(c, patch, b, pair.b, tauPx) +
    strainOf(patch, pair, diagonalPx);
  const coarse = costs(0.03 * diagonalPx);
  const choices = patches.map((patch) => {
    const ofA = toA.map((move) => costOf(c, patch, a, move, 0.03 * diagonalPx));
    const ofB = toB.map((move) => costOf(c, patch, b, move, 0.03 * diagonalPx));
    return toA
      .flatMap((moveA, p) =>
        toB.map((moveB, q): Choice<Pair> => {
          const pair = { a: moveA, b: moveB };
          return { is: pair, cost: ofA[p]! + ofB[q]! + strainOf(patch, pair, diagonalPx) };
        }),
      )
      .sort((p, q) => p.cost - q.cost)
      .slice(0, CHOICES);
  });
  const parting = (k: number, own: Pair, n: number, other: Pair) => {
    const x = (patches[k]!.x + patches[n]!.x) / 2;
    const y = (patches[k]!.y + patches[n]!.y) / 2;
    const apart = apartAt(own.a, other.a, x, y) + apartAt(own.b, other.b, x, y);
    return PARTING * Math.min(1, apart / (PARTED * diagonalPx));
  };
  const settle = (patch: Pick<Patch, 'x' | 'y' | 'probes'>, pair: Pair): Pair => {
    const wide = {
      widestPx: 0.025 * diagonalPx,
      narrowestPx: 0.006 * diagonalPx,
      rigidRounds: 3,
      affineRounds: 3,
    };
    const at = { x: patch.x, y: patch.y, members: patch.probes };
    return { a: settlePatch(c, at, a, pair.a, wide).move, b: settlePatch(c, at, b, pair.b, wide).move };
  };
  const fine = costs(0.015 * diagonalPx);
  let pairs = chooseTogether(choices, neighbours, parting);
  pairs = patches.map((patch, k) => {
    const settled = settle(patch, pairs[k]!);
    return coarse(patch, settled) < coarse(patch, pairs[k]!) + 0.02 ? settled : pairs[k]!;
  });
  const settledBefore = patches.map(() => new Map<Pair, Pair>());
  const sweepAll = () => {
    for (let sweep = 0; sweep < SWEEPS; sweep++) {
      let changed = false;
      const order = patches.map((patch, k) => ({ k, cost: fine(patch, pairs[k]!) }));
      order.sort((p, q) => p.cost - q.cost);
      for (const { k } of order) {
        const patch = patches[k]!;
        const total = (pair: Pair) =>
          fine(patch, pair) + neighbours[k]!.reduce((sum, n) => sum + parting(k, pair, n, pairs[n]!), 0);
        let best = { pair: pairs[k]!, cost: total(pairs[k]!) };
        for (const offered of distinctPairs(
          neighbours[k]!.map((n) => pairs[n]!),
          pairs[k]!,
          patch,
          0.008 * diagonalPx,
        )) {
          if (total(offered) > best.cost + 0.5) continue;
          // What was offered in an earlier sweep was settled then.
          if (!settledBefore[k]!.has(offered)) settledBefore[k]!.set(offered, settle(patch, offered));
          for (const pair of [offered, settledBefore[k]!.get(offered)!]) {
            const cost = total(pair);
            if (cost < best.cost - 0.02) best = { pair, cost };
          }
        }
        if (best.pair !== pairs[k]) changed = true;
        pairs[k] = best.pair;
      }
      if (!changed) break;
    }
  };
  sweepAll();
  // What no move of the whole explains (a limb) is looked for round where its neighbours went.
  const isLost = (patch: Patch, k: number) =>
    costOf(c, patch, a, pairs[k]!.a, 0.015 * diagonalPx) > LOST ||
    costOf(c, patch, b, pairs[k]!.b, 0.015 * diagonalPx) > LOST;
  const lost = patches.flatMap((patch, k) => (isLost(patch, k) ? k : []));
  const found = lost.map((k) => {
    const { x, y } = patches[k]!;
    const near = lost.filter((n) => Math.hypot(patches[n]!.x - x, patches[n]!.y - y) < LIMB * diagonalPx);
    const limb = { x, y, probes: evenOnes([...new Set(near.flatMap((n) => [...patches[n]!.probes]))], 60) };
    return settle(limb, {
      a: searchMove(c, limb, a, pairs[k]!.a, ROUND, diagonalPx),
      b: searchMove(c, limb, b, pairs[k]!.b, ROUND, diagonalPx),
    });
  });
  for (const k of lost) {
    const own = pairs[k]!;
    let best = { pair: own, cost: fine(patches[k]!, own) };
    for (const { a: ofA, b: ofB } of found) {
      for (const pair of [
        { a: ofA, b: ofB },
        { a: ofA, b: own.b },
        { a: own.a, b: ofB },
      ]) {
        const cost = fine(patches[k]!, pair);
        if (cost < best.cost - 0.05) best = { pair, cost };
      }
    }
    pairs[k] = best.pair;
  }
  if (lost.length > 0) sweepAll();
  const close = {
    widestPx: Math.max(5, 0.012 * diagonalPx),
    narrowestPx: Math.max(2, 0.003 * diagonalPx),
    rigidRounds: 4,
    affineRounds: 5,
  };
  const settled = {
    a: patches.map((patch, k) => settlePatch(c, patch, a, pairs[k]!.a, close)),
    b: patches.map((patch, k) => settlePatch(c, patch, b, pairs[k]!.b, close)),
  };
  const totals = patches.map((patch, k) => {
    const pair = { a: settled.a[k]!.move, b: settled.b[k]!.move };
    return fine(patch, pair) + neighbours[k]!.reduce((sum, n) => sum + parting(k, pair, n, pairs[n]!), 0);
  });
  const back = (map: LineMap, moves: readonly PatchMove[]) =>
    foundBack(
      c,
      patches,
      map,
      moves.map(({ move }) => move),
      totals,
      diagonalPx,
    );
  const [backA, backB] = [back(a, settled.a), back(b, settled.b)];
  return { ...settled, back: patches.map((_, k) => Math.min(backA[k]!, backB[k]!)), neighbours };
}

function evenOnes(values: readonly number[], most: number): Uint32Array {
  const count = Math.min(values.length, most);
  return Uint32Array.from({ length: count }, (_, k) => values[Math.floor((k * values.length) / count)]!);
}

/** For each patch, the others with a centre within a distance. */
export function neighboursOf(patches: readonly Patch[], withinPx: number): number[][] {
  return patches.map((patch, k) =>
    patches.flatMap((other, n) =>
      n !== k && Math.hypot(other.x - patch.x, other.y - patch.y) < withinPx ? n : [],
    ),
  );
}

/** Mean distance of the patch's probes from like-running line, as a share of `mostPx` (0 on it, 1 far off). */
function costOf(from: AlongSamples, patch: Patch, map: LineMap, move: Move, mostPx: number): number {
  let sum = 0;
  for (const i of patch.probes) {
    const x = move.xx * from.x[i]! + move.xy * from.y[i]! + move.dx;
    const y = move.yx * from.x[i]! + move.yy * from.y[i]! + move.dy;
    const ux = move.xx * from.alongX[i]! + move.xy * from.alongY[i]!;
    const uy = move.yx * from.alongX[i]! + move.yy * from.alongY[i]!;
    sum += mapDistance(map, directionAlong(ux, uy), x, y, mostPx);
  }
  return sum / (patch.probes.length * mostPx);
}

/**
 * A drawing between two others lies between them: on an arc of up to half a circle a place stays within the circle
 * whose diameter joins its two ends (Thales). Large moves cost a little as well, so that of two twins the near one is
 * taken.
 */
function strainOf(patch: Patch, { a, b }: Pair, diagonalPx: number): number {
  const [ax, ay] = movePoint(a, patch.x, patch.y);
  const [bx, by] = movePoint(b, patch.x, patch.y);
  const outside =
    Math.hypot((ax + bx) / 2 - patch.x, (ay + by) / 2 - patch.y) - Math.hypot(bx - ax, by - ay) / 2;
  const astray = Math.max(0, Math.min(1, outside / (0.06 * diagonalPx)));
  const way = Math.min(1, Math.hypot(bx - ax, by - ay) / diagonalPx);
  const turns = Math.abs(turnOf(a)) + Math.abs(turnOf(b));
  return ASTRAY * astray + RESTRAINT * (way + Math.min(1, turns / 1.6));
}

function apartAt(p: Move, q: Move, x: number, y: number): number {
  const [px, py] = movePoint(p, x, y);
  const [qx, qy] = movePoint(q, x, y);
  return Math.hypot(px - qx, py - qy);
}

function distinctPairs(pairs: readonly Pair[], own: Pair, patch: Patch, withinPx: number): Pair[] {
  const kept = [own];
  for (const pair of pairs) {
    const known = kept.some(
      (other) =>
        apartAt(pair.a, other.a, patch.x, patch.y) < withinPx &&
        apartAt(pair.b, other.b, patch.x, patch.y) < withinPx &&
        Math.abs(turnOf(pair.a) - turnOf(other.a)) + Math.abs(turnOf(pair.b) - turnOf(other.b)) < 0.15,
    );
    if (!known) kept.push(pair);
  }
  return kept.slice(1);
}
