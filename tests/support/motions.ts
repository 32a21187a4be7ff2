/**
 * A seeded maker of motions over published line art: two drawings and one between them, each drawn by a hand of
 * its own, with the in-between's place known. Kinds and amounts are those of the trade (common practice, no
 * source). Every path is a function of its place `t`: a fraction is a share of the arc, of the turn or of the growth.
 */
import type { LineSamples } from '../../src/line/samples.ts';
import { lengthOf, resampled, strokesOf } from './art-strokes.ts';
import { moved, type Point } from './draw-lines.ts';
import { type LineArt, lucideArt, openmojiArt } from './line-art.ts';
import { seeded } from './line-masks.ts';
import { redrawnSamples } from './redrawn-line.ts';

export const MOTION_PAPER = { width: 1100, height: 720 };

export const MOTIONS = [
  'short way',
  'long way, turning',
  'arc without a turn',
  'squash and stretch',
  'growth',
  'bend',
  'hinge',
  'slide',
  'passing',
  'crowd',
  'two thirds',
  'follow-through',
  'hides',
] as const;
export type MotionKind = (typeof MOTIONS)[number];

type Lines = readonly (readonly Point[])[];
type Path = (point: Point, t: number) => Point;

/** What moves as one in time. */
export interface Part {
  readonly lines: Lines;
  readonly path: Path;
  /** Where it lies in the in-between. */
  readonly t: number;
  readonly hiddenIn?: 'a' | 'b' | 'c';
}

export interface Motion {
  readonly kind: MotionKind;
  readonly seed: number;
  readonly a: LineSamples;
  readonly b: LineSamples;
  readonly c: LineSamples;
  /** Of most of the moving line. */
  readonly truth: number;
  /** Other parts' own fractions, with their boxes in the in-between. */
  readonly others: readonly {
    readonly truth: number;
    readonly at: Point;
    readonly box: readonly [number, number, number, number];
    readonly movePx: number;
  }[];
  /** Median way from the first drawing to the second, of the moving line, px. */
  readonly movePx: number;
  readonly pictures: readonly string[];
  /** What it is made of: a place of a part's lines lies at `path(place, t)` in the in-between. */
  readonly parts: readonly Part[];
  /** One drawing more, all of it at one place of the way (0 … 1). */
  readonly drawnAt: (s: number) => LineSamples;
}

let art: (LineArt & { readonly simple: boolean })[] | undefined;

/** Even pictures are for tuning, odd ones for judging: no figure comes from a picture that was tuned to. */
function pictures(set: 'tune' | 'judge') {
  art ??= [...lucideArt(), ...openmojiArt()].flatMap((one) => {
    // A flag is a bare rectangle, and there are hundreds.
    if (/^1F1[EF][0-9A-F]-/.test(one.name)) return [];
    const length = lengthOf(strokesOf(one));
    return length > 1.5 && length < 14 ? { ...one, simple: length < 4 } : [];
  });
  return art.filter((_, k) => k % 2 === (set === 'tune' ? 0 : 1));
}

/** A motion of a kind by seed. Equal arguments give equal drawings. */
export function motionOf(kind: MotionKind, seed: number, set: 'tune' | 'judge'): Motion {
  const random = seeded(seed * 7919 + MOTIONS.indexOf(kind) * 104729);
  const between = (low: number, high: number) => low + (high - low) * random();
  const either = (low: number, high: number) => (random() < 0.5 ? -1 : 1) * between(low, high);
  const pick = <T>(items: readonly T[]): T => items[Math.floor(random() * items.length)]!;
  const all = pictures(set);
  const names: string[] = [];
  const rich = all.filter(({ simple }) => !simple);
  const plain = all.filter(({ simple }) => simple);
  // A few bare lines are the harder for having nothing to hold on to.
  const few = random() < 0.4 ? plain : rich;
  const shape = (sizePx: number, at: Point): Point[][] => {
    const chosen = pick(few);
    names.push(chosen.name);
    const tilt = between(-0.3, 0.3);
    const placed = strokesOf(chosen).map((line) =>
      line.map(([x, y]) => moved([at[0] + sizePx * x, at[1] + sizePx * y], at, tilt, 0, 0)),
    );
    return resampled(placed, 4);
  };
  const { width, height } = MOTION_PAPER;
  const middle: Point = [width / 2 + between(-60, 60), height / 2 + between(-40, 40)];
  const t = pick([1 / 4, 1 / 3, 1 / 2, 1 / 2, 2 / 3, 3 / 4]);
  const parts: Part[] = [];
  const shift =
    (dx: number, dy: number): Path =>
    ([x, y], s) => [x + dx * s, y + dy * s];

  switch (kind) {
    case 'short way': {
      const turn = between(-0.2, 0.2);
      const [dx, dy] = [either(8, 70), either(4, 50)];
      parts.push({
        lines: shape(between(200, 420), middle),
        path: (p, s) => moved(p, middle, turn * s, dx * s, dy * s),
        t,
      });
      break;
    }
    case 'long way, turning': {
      const size = between(90, 180);
      const start: Point = [100 + size / 2, height - 120 - size / 2];
      const way = between(2, 5) * size;
      const reach = Math.min(way, width - 2 * start[0] + 60);
      const turn = either(0.3, 1.5);
      const rise = between(0.5, 1.4);
      // A circle's arc through start, of chord `reach`, rising by the sagitta of half the angle.
      const radius = reach / 2 / Math.sin(rise / 2);
      const centre: Point = [start[0] + reach / 2, start[1] + radius * Math.cos(rise / 2)];
      parts.push({
        lines: shape(size, start),
        path: (p, s) => {
          const [x, y] = moved(start, centre, rise * s, 0, 0);
          return moved(p, start, turn * s, x - start[0], y - start[1]);
        },
        t,
      });
      break;
    }
    case 'arc without a turn': {
      const [radius, angle, from] = [between(120, 260), between(0.5, 1.5), between(0, 6.28)];
      parts.push({
        lines: shape(between(140, 300), middle),
        path: ([x, y], s) => [
          x + radius * (Math.cos(from + angle * s) - Math.cos(from + angle / 2)),
          y + radius * (Math.sin(from + angle * s) - Math.sin(from + angle / 2)),
        ],
        t,
      });
      break;
    }
    case 'squash and stretch': {
      const size = between(180, 320);
      const stretch = either(0.15, 0.5);
      const [dx, dy] = [either(20, 180), either(0, 90)];
      const foot = middle[1] + size / 2;
      const tall = Math.max(stretch, -0.35);
      parts.push({
        lines: shape(size, middle),
        path: ([x, y], s) => {
          const k = 1 + tall * s;
          return [middle[0] + ((x - middle[0]) * 1) / k + dx * s, foot + (y - foot) * k + dy * s];
        },
        t,
      });
      break;
    }
    case 'growth': {
      const k = between(1.15, 1.7);
      const [cx, cy] = [middle[0] + between(-150, 150), middle[1] + between(-150, 150)];
      const ways = random() < 0.3 ? [1, between(0, 1)] : [1, 1];
      const shrinks = random() < 0.4;
      const path: Path = ([x, y], s) => {
        const own = shrinks ? 1 - s : s;
        return [
          cx + (x - cx) * (1 + (k - 1) * ways[0]! * own),
          cy + (y - cy) * (1 + (k - 1) * ways[1]! * own),
        ];
      };
      parts.push({ lines: shape(between(150, 260), middle), path, t });
      break;
    }
    case 'bend': {
      const size = between(220, 380);
      const angle = either(0.4, 1.3);
      const foot: Point = [middle[0], middle[1] + size / 2];
      const [dx, dy] = [either(0, 60), either(0, 30)];
      // The upright middle line becomes an arc of a circle that starts upright at the foot; its length stays.
      const path: Path = ([x, y], s) => {
        const along = foot[1] - y;
        const across = x - foot[0];
        const bend = (angle * s) / size;
        const phi = bend * along;
        const [mx, my] =
          Math.abs(bend) < 1e-9 ? [0, along] : [(1 - Math.cos(phi)) / bend, Math.sin(phi) / bend];
        return [
          foot[0] + mx + across * Math.cos(phi) + dx * s,
          foot[1] - (my - across * Math.sin(phi)) + dy * s,
        ];
      };
      parts.push({ lines: shape(size, middle), path, t });
      break;
    }
    case 'hinge': {
      const [body, lid] = [between(180, 280), between(160, 260)];
      const hinge: Point = [middle[0] + body / 2, middle[1] + between(-60, 60)];
      const turn = either(0.25, 1.3);
      parts.push({ lines: shape(body, middle), path: (p) => p, t: 0 });
      parts.push({
        lines: shape(lid, [hinge[0] + lid / 2 + 12, hinge[1]]),
        path: (p, s) => moved(p, hinge, turn * s, 0, 0),
        t,
      });
      break;
    }
    case 'slide': {
      const [body, drawer] = [between(220, 300), between(120, 200)];
      const way = either(15, 160);
      parts.push({ lines: shape(body, middle), path: (p) => p, t: 0 });
      parts.push({
        lines: shape(drawer, [middle[0] + between(-60, 60), middle[1] + between(-60, 60)]),
        path: shift(way, between(-12, 12)),
        t,
      });
      break;
    }
    case 'passing': {
      const [one, two] = [between(140, 240), between(140, 240)];
      const way = between(160, 420);
      const left: Point = [middle[0] - way / 2, middle[1] + between(-60, 60)];
      const right: Point = [middle[0] + way / 2, middle[1] + between(-60, 60)];
      parts.push({ lines: shape(one, left), path: shift(way, between(-30, 30)), t });
      parts.push({ lines: shape(two, right), path: shift(-way, between(-30, 30)), t });
      break;
    }
    case 'crowd': {
      const size = between(110, 170);
      const spread = between(180, 260);
      for (const [sx, sy] of [
        [-1, -1],
        [1, -1],
        [1, 1],
        [-1, 1],
      ] as const) {
        const at: Point = [middle[0] + sx * spread, middle[1] + sy * 0.6 * spread];
        const far = between(0.2, 1);
        parts.push({
          lines: shape(size, at),
          path: shift(-2 * sx * spread * far, -1.2 * sy * spread * far * between(0.6, 1)),
          t,
        });
      }
      break;
    }
    case 'two thirds': {
      const size = between(260, 340);
      const [dx, dy] = [either(40, 160), either(10, 70)];
      const at: Point = [middle[0] - 80, middle[1]];
      parts.push({ lines: shape(size, at), path: shift(dx, dy), t: 0.5 });
      const beside: Point = [at[0] + size / 2 + 60, at[1] - 60];
      const turn = either(0, 0.4);
      parts.push({
        lines: shape(between(100, 130), beside),
        path: (p, s) => moved(p, beside, turn * s, dx * s, dy * s),
        t: pick([1 / 3, 2 / 3]),
      });
      break;
    }
    case 'follow-through': {
      const size = between(220, 320);
      const [dx, dy, turn] = [either(30, 120), either(10, 60), either(0.1, 0.4)];
      const at: Point = [middle[0] - 60, middle[1]];
      const hinge: Point = [at[0] + size / 2, at[1]];
      const body: Path = (p, s) => moved(p, at, turn * s, dx * s, dy * s);
      const swing = either(0.3, 0.9);
      const late = Math.max(0.1, t - between(0.15, 0.3));
      parts.push({ lines: shape(size, at), path: body, t });
      // The tail hangs on the body's own place; only its swing is late.
      parts.push({
        lines: shape(between(110, 150), [hinge[0] + 85, hinge[1]]),
        path: (p, s) => body(moved(p, hinge, swing * (s === t ? late : s), 0, 0), s),
        t,
      });
      break;
    }
    case 'hides': {
      const size = between(260, 360);
      const turn = between(-0.3, 0.3);
      const [dx, dy] = [either(20, 120), either(10, 60)];
      const path: Path = (p, s) => moved(p, middle, turn * s, dx * s, dy * s);
      parts.push({ lines: shape(size, middle), path, t });
      parts.push({
        lines: shape(between(100, 150), [middle[0] + between(-160, 160), middle[1] + between(-120, 120)]),
        path,
        t,
        hiddenIn: pick(['a', 'b', 'c'] as const),
      });
      break;
    }
  }

  const linesAt = ({ lines, path }: Part, s: number) => lines.map((line) => line.map((p) => path(p, s)));
  const draw = (which: 'a' | 'b' | 'c') => {
    const shown = parts.filter(({ hiddenIn }) => hiddenIn !== which);
    const lines = shown.flatMap((part) => linesAt(part, which === 'a' ? 0 : which === 'b' ? 1 : part.t));
    return redrawnSamples(lines, MOTION_PAPER, random);
  };
  const wayOf = ({ lines, path }: Part) => {
    const ways = lines
      .flat()
      .map((p) => {
        const [a, b] = [path(p, 0), path(p, 1)];
        return Math.hypot(b[0] - a[0], b[1] - a[1]);
      })
      .sort((p, q) => p - q);
    return ways[ways.length >> 1]!;
  };
  const moving = parts.filter((part) => wayOf(part) > 1);
  const main = moving.reduce((p, q) =>
    lengthOf(q.lines) * Math.min(40, wayOf(q)) > lengthOf(p.lines) * Math.min(40, wayOf(p)) ? q : p,
  );
  return {
    kind,
    seed,
    a: draw('a'),
    b: draw('b'),
    c: draw('c'),
    truth: main.t,
    others: moving
      .filter((part) => part.t !== main.t)
      .map((part) => ({ truth: part.t, at: middleOf(part), box: boxOfPart(part), movePx: wayOf(part) })),
    movePx: wayOf(main),
    pictures: names,
    parts,
    drawnAt: (s) =>
      redrawnSamples(
        parts.flatMap((part) => linesAt(part, s)),
        MOTION_PAPER,
        random,
      ),
  };
}

function middleOf({ lines, path, t }: Part): Point {
  const points = lines.flat().map((p) => path(p, t));
  return [
    points.reduce((sum, [x]) => sum + x, 0) / points.length,
    points.reduce((sum, [, y]) => sum + y, 0) / points.length,
  ];
}

function boxOfPart({ lines, path, t }: Part): [number, number, number, number] {
  const points = lines.flat().map((p) => path(p, t));
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  return [left, top, Math.max(...xs) - left, Math.max(...ys) - top];
}
