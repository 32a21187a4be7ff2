import { directionOf, type LineMap, lineMap, mapDistance } from './line-map.ts';
import { alter, type Move, moveDirection, movePoint, STAY, turn, turnOf } from './move.ts';
import { type Patch, patchesOf } from './patches.ts';
import { PointIndex } from './point-index.ts';
import type { LineSamples } from './samples.ts';
import { settlePatch } from './settle-patch.ts';

/** A drawing ready to be searched: its maps and its points. */
export interface Target {
  readonly samples: LineSamples;
  readonly map: LineMap;
  readonly index: PointIndex;
}

export function targetOf(samples: LineSamples, diagonalPx: number): Target {
  return {
    samples,
    map: lineMap(samples, Math.max(1, diagonalPx / 300), 0.05 * diagonalPx),
    index: new PointIndex(samples.x, samples.y, Math.max(4, diagonalPx / 100)),
  };
}

/** A patch's fit to a target. */
export interface PatchMove {
  readonly move: Move;
  /** Share of the patch's points that lie on a line of the target. */
  readonly onLine: number;
  /** Root mean square distance of those, px. */
  readonly residualPx: number;
  /** Variance of the centre's place per px² of residual: xx, xy, yy. Large along a line that can slide. */
  readonly spread: readonly [xx: number, xy: number, yy: number];
}

interface Search {
  /** Shifts tried either way, as a share of the drawing's diagonal, and their step. */
  readonly reach: number;
  readonly step: number;
  readonly turnRad: number;
  readonly turnStepRad: number;
}

// Each level starts where the coarser one ended. Reaches are what a full-body move between neighbouring
// extremes spans; a larger one costs time and invites a wrong limb, a smaller one loses fast parts. The small
// step was tried at 0.007 as well: no nearer to the sample shots' charts (off by 0.006 in the middle at either).
const WHOLE: Search = { reach: 0.36, step: 0.03, turnRad: 1.6, turnStepRad: 0.16 };
const LARGE: Search = { reach: 0.14, step: 0.014, turnRad: 0.9, turnStepRad: 0.15 };
const SMALL: Search = { reach: 0.05, step: 0.01, turnRad: 0.45, turnStepRad: 0.11 };
/** What a move to the edge of its search costs, against a point wholly off the line at 1. Keeps twins apart. */
const RESTRAINT = 0.06;

/**
 * Where each patch of a drawing lies in another: the whole drawing first, then large pieces, then the
 * patches, each searched on directional distance maps from its parents' moves, neighbours' moves tried too
 * (propagation, Barnes et al. 2009), and settled by closest points (see `settle-patch.ts`).
 */
export function matchPatches(
  from: LineSamples,
  patches: readonly Patch[],
  to: Target,
  diagonalPx: number,
): PatchMove[] {
  const whole = patchesOf(from, 10 * diagonalPx, 1, 160)[0]!;
  const large = patchesOf(from, 0.2 * diagonalPx, 0.6, 60);
  const cost = (patch: Patch, move: Move) => costOf(from, patch, to.map, move, 0.03 * diagonalPx);
  const find = (patch: Patch, starts: readonly Move[], search: Search): Move =>
    best(
      distinct(starts, patch, 0.5 * search.reach * diagonalPx, 0.5 * search.turnRad).map((start) =>
        searchRound(from, patch, to.map, start, search, diagonalPx),
      ),
    ).move;

  const wholeMove = find(whole, [STAY], WHOLE);
  const largeMoves = large.map((patch) => find(patch, [wholeMove], LARGE));
  let moves = patches.map((patch) => {
    const parents = large
      .map((parent, k) => ({
        move: largeMoves[k]!,
        distance: Math.hypot(parent.x - patch.x, parent.y - patch.y),
      }))
      .sort((p, q) => p.distance - q.distance)
      .slice(0, 3);
    return find(patch, [...parents.map(({ move }) => move), wholeMove], SMALL);
  });
  const neighbours = neighboursOf(patches, 0.13 * diagonalPx);
  for (let round = 0; round < 2; round++) {
    const before = moves;
    moves = patches.map((patch, k) => {
      const own = { move: before[k]!, cost: cost(patch, before[k]!) };
      const others = neighbours[k]!.map((n) => ({
        move: before[n]!,
        // A neighbour's move must do nearly as well to be taken: coherence is worth a little.
        cost: cost(patch, before[n]!) - 0.02,
      }));
      return best([own, ...others]).move;
    });
  }
  return patches.map((patch, k) => settlePatch(from, patch, to, moves[k]!, diagonalPx));
}

/** For each patch, the others with a centre within a distance. */
export function neighboursOf(patches: readonly Patch[], withinPx: number): number[][] {
  return patches.map((patch, k) =>
    patches.flatMap((other, n) =>
      n !== k && Math.hypot(other.x - patch.x, other.y - patch.y) < withinPx ? n : [],
    ),
  );
}

interface Candidate {
  readonly move: Move;
  readonly cost: number;
}

function best(candidates: readonly Candidate[]): Candidate {
  return candidates.reduce((p, q) => (q.cost < p.cost ? q : p));
}

/** Mean distance of the patch's probes from like-running line, as a share of `mostPx` (0 on it, 1 far off). */
function costOf(from: LineSamples, patch: Patch, map: LineMap, move: Move, mostPx: number): number {
  let sum = 0;
  for (const i of patch.probes) {
    const [x, y] = movePoint(move, from.x[i]!, from.y[i]!);
    sum += mapDistance(map, directionOf(moveDirection(move, from.tangentRad[i]!)), x, y, mostPx);
  }
  return sum / (patch.probes.length * mostPx);
}

/**
 * The best move of a patch within a search: a coarse raster of turns and shifts, then twice the same at half
 * the step round the best. Probes are turned once a turn, in cells of the map; a raster point is given up
 * as soon as it is worse than the best.
 */
function searchRound(
  from: LineSamples,
  patch: Patch,
  map: LineMap,
  start: Move,
  search: Search,
  diagonalPx: number,
): Candidate {
  const n = patch.probes.length;
  const probeX = new Float64Array(n);
  const probeY = new Float64Array(n);
  const grids: Float32Array[] = [];
  const reachPx = search.reach * diagonalPx;
  let stepPx = search.step * diagonalPx;
  let turnStep = search.turnStepRad;
  let shiftSpan = Math.round(reachPx / stepPx);
  let turnSpan = Math.round(search.turnRad / turnStep);
  let centre = start;
  let found: Candidate = { move: start, cost: Infinity };
  for (let pass = 0; pass < 3; pass++) {
    const mostPx = Math.max(0.015 * diagonalPx, 1.5 * stepPx);
    found = { move: centre, cost: Infinity };
    for (let r = -turnSpan; r <= turnSpan; r++) {
      const turned = alter(centre, patch.x, patch.y, turn(r * turnStep), 0, 0);
      for (let k = 0; k < n; k++) {
        const i = patch.probes[k]!;
        const [x, y] = movePoint(turned, from.x[i]!, from.y[i]!);
        probeX[k] = (x - map.left) / map.cellPx;
        probeY[k] = (y - map.top) / map.cellPx;
        grids[k] = map.distancePx[directionOf(moveDirection(turned, from.tangentRad[i]!))]!;
      }
      for (let v = -shiftSpan; v <= shiftSpan; v++) {
        const shiftY = (v * stepPx) / map.cellPx;
        for (let u = -shiftSpan; u <= shiftSpan; u++) {
          const shiftX = (u * stepPx) / map.cellPx;
          const strain =
            pass === 0 ? Math.hypot(u, v) / shiftSpan + Math.abs(r * turnStep) / search.turnRad : 0;
          const strainCost = RESTRAINT * strain;
          const giveUp = (found.cost - strainCost) * n * mostPx;
          let sum = 0;
          for (let k = 0; k < n && sum < giveUp; k++) {
            const cx = Math.floor(probeX[k]! + shiftX);
            const cy = Math.floor(probeY[k]! + shiftY);
            const inside = cx >= 0 && cy >= 0 && cx < map.columns && cy < map.rows;
            sum += inside ? Math.min(mostPx, grids[k]![cy * map.columns + cx]!) : mostPx;
          }
          if (sum >= giveUp) continue;
          found = {
            move: { ...turned, dx: turned.dx + u * stepPx, dy: turned.dy + v * stepPx },
            cost: sum / (n * mostPx) + strainCost,
          };
        }
      }
    }
    centre = found.move;
    stepPx /= 2;
    turnStep /= 2;
    shiftSpan = 2;
    turnSpan = 2;
  }
  return found;
}

/** Starts that put the patch in one place are searched once. */
function distinct(starts: readonly Move[], patch: Patch, withinPx: number, withinRad: number): Move[] {
  const kept: { move: Move; at: readonly [number, number] }[] = [];
  for (const move of starts) {
    const at = movePoint(move, patch.x, patch.y);
    const known = kept.some(
      (other) =>
        Math.hypot(other.at[0] - at[0], other.at[1] - at[1]) < withinPx &&
        Math.abs(turnOf(other.move) - turnOf(move)) < withinRad,
    );
    if (!known) kept.push({ move, at });
  }
  return kept.map(({ move }) => move);
}
