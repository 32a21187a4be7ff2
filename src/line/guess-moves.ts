import type { AlongSamples } from './along.ts';
import { directionAlong, type LineMap, mapDistance } from './line-map.ts';
import { type Move, movePoint, STAY, turn, turnOf } from './move.ts';
import type { LineSamples } from './samples.ts';
import { settlePatch } from './settle-patch.ts';
import { type Contexts, likest, shapeContexts } from './shape-context.ts';

/** Points that are looked from, and points that are looked at. */
const LOOK_FROM = 90;
const LOOK_AT = 180;
const LOOK_ROUND = 300;
/** Points on which a guess is tried. */
const PROBES = 140;
/** A guess explains a point that comes this near a line running its way, as a share of the diagonal. */
const NEAR = 0.035;
/** Moves kept; the last of them explain little. */
const MOST = 9;
/** A further move must explain this share of the line anew. */
const LEAST_GAIN = 0.025;
/** From this share on the line is explained, but for what is hidden and what wavers. */
const ALL = 0.9;
/** What the largest usual move costs, as a share of the line explained: of two that fit, the smaller is meant. */
const RESTRAINT = 0.06;

/**
 * Moves that may have brought a drawing, or parts of it, to where it lies in another: the whole shifted, turned and
 * stretched until its second moments are the other's, and every pair of points whose surroundings are alike (shape
 * contexts, near and wide, upright and turned). They are tried on the other's distance maps and the best settled;
 * then the best for what is left, and so on. The first explains most of the line.
 */
export function guessMoves(from: AlongSamples, to: LineMap, diagonalPx: number, looks: Looks): Move[] {
  const probes = evenly(from.x.length, PROBES);
  const trial = trialOn(from, probes, to, NEAR * diagonalPx);
  const centre = momentsOf(from);
  const strain = (move: Move) => {
    const [x, y] = movePoint(move, centre.x, centre.y);
    const shift = Math.hypot(x - centre.x, y - centre.y) / diagonalPx;
    const stretch = Math.abs(Math.log(Math.max(1e-3, Math.abs(move.xx * move.yy - move.xy * move.yx))));
    return RESTRAINT * (0.5 * Math.min(1, shift) + Math.abs(turnOf(move)) / 1.6 + 0.5 * stretch);
  };
  const tried = (move: Move) => ({ move, near: trial(move), strain: strain(move) });
  const guesses = [STAY, ...ofMoments(from, to.samples)].map(tried);
  let alike = false;
  const explained = new Float32Array(probes.length);
  const gain = ({ near, strain: cost }: (typeof guesses)[number]) => {
    let sum = 0;
    for (let k = 0; k < near.length; k++) sum += Math.max(0, near[k]! - explained[k]!);
    return sum / near.length - cost;
  };
  const kept: Move[] = [];
  while (kept.length < MOST) {
    const known = explained.reduce((sum, near) => sum + near, 0) / explained.length;
    if (kept.length > 0 && known > ALL) break;
    if (kept.length > 0 && !alike) {
      // Only now, since most drawings are wholly explained without.
      alike = true;
      guesses.push(...ofLikeness(looks, to.samples, diagonalPx).map(tried));
      // The first move may have been the lesser one.
      kept.length = 0;
      explained.fill(0);
    }
    const first = guesses.map((guess) => ({ guess, gain: gain(guess) })).sort((p, q) => q.gain - p.gain);
    const settled = distinct(
      first.slice(0, 24).map(({ guess }) => guess.move),
      centre,
      diagonalPx,
    )
      .slice(0, kept.length === 0 ? 4 : 2)
      .map((move) => {
        const near = trial(move);
        const members = [...probes].filter((_, k) => near[k]! > Math.max(0.1, explained[k]!));
        if (members.length < 8) return { move, near, strain: strain(move) };
        const middle = middleOf(from, members);
        const fit = settlePatch(from, { ...middle, members }, to, move, {
          widestPx: 0.05 * diagonalPx,
          narrowestPx: 0.01 * diagonalPx,
          rigidRounds: 6,
          affineRounds: 5,
        });
        return { move: fit.move, near: trial(fit.move), strain: strain(fit.move) };
      });
    const best = [...settled, ...first.slice(0, 1).map(({ guess }) => guess)].reduce((p, q) =>
      gain(q) > gain(p) ? q : p,
    );
    if (gain(best) < (kept.length === 0 ? -1 : LEAST_GAIN)) break;
    kept.push(best.move);
    for (let k = 0; k < explained.length; k++) explained[k] = Math.max(explained[k]!, best.near[k]!);
  }
  return kept;
}

/** How near each probe comes to line running its way, 1 on it, 0 beyond the reach. */
function trialOn(from: AlongSamples, probes: Uint32Array, to: LineMap, reachPx: number) {
  return ({ xx, xy, yx, yy, dx, dy }: Move): Float32Array => {
    const near = new Float32Array(probes.length);
    for (let k = 0; k < probes.length; k++) {
      const i = probes[k]!;
      const [x, y] = [from.x[i]!, from.y[i]!];
      const [ux, uy] = [from.alongX[i]!, from.alongY[i]!];
      const direction = directionAlong(xx * ux + xy * uy, yx * ux + yy * uy);
      const distance = mapDistance(to, direction, xx * x + xy * y + dx, yx * x + yy * y + dy, reachPx);
      near[k] = 1 - (distance / reachPx) ** 2;
    }
    return near;
  };
}

function ofMoments(from: LineSamples, to: LineSamples): Move[] {
  const [a, b] = [momentsOf(from), momentsOf(to)];
  const out: Move[] = [];
  const at = (xx: number, xy: number, yx: number, yy: number) =>
    out.push({ xx, xy, yx, yy, dx: b.x - xx * a.x - xy * a.y, dy: b.y - yx * a.x - yy * a.y });
  for (let k = 0; k < 24; k++) {
    const { xx: c, yx: s } = turn((k * Math.PI) / 12);
    at(c, -s, s, c);
    // Σb^½ · turn · Σa^−½: every affine move that takes one second moment to the other.
    const [rxx, rxy, ryx, ryy] = [
      c * a.whiten[0] - s * a.whiten[1],
      c * a.whiten[1] - s * a.whiten[2],
      s * a.whiten[0] + c * a.whiten[1],
      s * a.whiten[1] + c * a.whiten[2],
    ];
    at(
      b.root[0] * rxx + b.root[1] * ryx,
      b.root[0] * rxy + b.root[1] * ryy,
      b.root[1] * rxx + b.root[2] * ryx,
      b.root[1] * rxy + b.root[2] * ryy,
    );
  }
  return out;
}

/** Middle of a line, and the square root of its second moment with its inverse (xx, xy, yy). */
function momentsOf({ x, y }: LineSamples) {
  const n = x.length;
  let [mx, my] = [0, 0];
  for (let i = 0; i < n; i++) {
    mx += x[i]! / n;
    my += y[i]! / n;
  }
  let [sxx, sxy, syy] = [1e-6, 0, 1e-6];
  for (let i = 0; i < n; i++) {
    sxx += (x[i]! - mx) ** 2 / n;
    sxy += ((x[i]! - mx) * (y[i]! - my)) / n;
    syy += (y[i]! - my) ** 2 / n;
  }
  // A straight line has no breadth to stretch.
  const least = 1e-3 * (sxx + syy);
  sxx += least;
  syy += least;
  // √M = (M + √det·1) / √(trace + 2√det), for a symmetric 2×2 matrix.
  const det = Math.sqrt(Math.max(1e-12, sxx * syy - sxy * sxy));
  const by = Math.sqrt(sxx + syy + 2 * det);
  const root = [(sxx + det) / by, sxy / by, (syy + det) / by] as const;
  const rootDet = root[0] * root[2] - root[1] ** 2;
  const whiten = [root[2] / rootDet, -root[1] / rootDet, root[0] / rootDet] as const;
  return { x: mx, y: my, root, whiten };
}

/** How a drawing is looked at: near and wide, upright and turned. */
const WAYS = [
  { radius: 0.6, turned: false },
  { radius: 0.6, turned: true },
  { radius: 0.22, turned: true },
  { radius: 0.22, turned: false },
] as const;

/** A drawing's own shape contexts, made when first asked for and used against both others. */
export type Looks = () => { readonly samples: LineSamples; readonly ways: readonly Contexts[] };

export function looksOf(samples: LineSamples, diagonalPx: number): Looks {
  let made: ReturnType<Looks> | undefined;
  return () => {
    made ??= { samples, ways: contextsOf(samples, LOOK_FROM, diagonalPx) };
    return made;
  };
}

function contextsOf(samples: LineSamples, count: number, diagonalPx: number): Contexts[] {
  const looking = evenly(samples.x.length, count);
  const around = evenly(samples.x.length, LOOK_ROUND);
  return WAYS.map(({ radius, turned }) =>
    shapeContexts(samples, looking, around, radius * diagonalPx, turned),
  );
}

function ofLikeness(looks: Looks, to: LineSamples, diagonalPx: number): Move[] {
  const { samples: from, ways } = looks();
  return contextsOf(to, LOOK_AT, diagonalPx).flatMap((others, way) => {
    const own = ways[way]!;
    const { turned } = WAYS[way]!;
    return likest(own, others, 2, turned).map(({ from: p, to: q, reversed }): Move => {
      const [i, j] = [own.points[p]!, others.points[q]!];
      const turnedBy = turned
        ? to.tangentRad[j]! - from.tangentRad[i]! + (reversed ? Math.PI : 0)
        : halfTurn(to.tangentRad[j]! - from.tangentRad[i]!);
      const { xx, xy, yx, yy } = turn(turnedBy);
      const [x, y] = [from.x[i]!, from.y[i]!];
      return { xx, xy, yx, yy, dx: to.x[j]! - xx * x - xy * y, dy: to.y[j]! - yx * x - yy * y };
    });
  });
}

/** An angle between lines that have no direction, −π/2 … π/2. */
const halfTurn = (angleRad: number): number => angleRad - Math.PI * Math.round(angleRad / Math.PI);

function evenly(count: number, most: number): Uint32Array {
  const n = Math.min(count, most);
  return Uint32Array.from({ length: n }, (_, k) => Math.floor(((k + 0.5) * count) / n));
}

function middleOf(samples: LineSamples, members: readonly number[]): { x: number; y: number } {
  let [x, y] = [0, 0];
  for (const i of members) {
    x += samples.x[i]! / members.length;
    y += samples.y[i]! / members.length;
  }
  return { x, y };
}

/** Moves that put the middle in one place at one turn are tried once. */
function distinct(moves: readonly Move[], { x, y }: { x: number; y: number }, diagonalPx: number): Move[] {
  const kept: Move[] = [];
  for (const move of moves) {
    const [px, py] = movePoint(move, x, y);
    const known = kept.some((other) => {
      const [ox, oy] = movePoint(other, x, y);
      const turns = Math.abs(turnOf(other) - turnOf(move));
      return Math.hypot(ox - px, oy - py) < 0.04 * diagonalPx && Math.min(turns, 2 * Math.PI - turns) < 0.15;
    });
    if (!known) kept.push(move);
  }
  return kept;
}
