/**
 * A paper kite with a sleepy face, and its ribbon tail with three bows.
 * Long because it is mostly lists of points.
 */
import {
  curve,
  ellipse,
  type Knot,
  lerp,
  normals,
  type Pt,
  place,
  polar,
  RAD,
  STEP_PX,
  tube,
} from '../paper/geometry.ts';
import {
  type Construction,
  type Item,
  massesOf,
  type Scene,
  type Shape,
  type Stroke,
} from '../paper/scene.ts';
import type { KitePose, TailPose } from './pose.ts';

export const SHEET = { width: 1920, height: 1080, scale: 1 } as const;

export function drawKite(pose: KitePose): Scene {
  const at = (knots: readonly Knot[]): Knot[] => place(knots, [pose.x, pose.y], pose.angle, pose.bank, 1);
  const b = pose.billow;
  const top: Knot = [0, -250, 1];
  const right: Knot = [186, -60, 1];
  const bottom: Knot = [0, 212, 1];
  const left: Knot = [-186, -60, 1];
  const inside = (
    id: string,
    knots: readonly Knot[],
    taper: readonly [boolean, boolean],
    within = 'sail',
  ): Stroke => ({
    kind: 'stroke',
    id,
    path: curve(at(knots)),
    within,
    taper,
  });
  const sail: Shape = {
    kind: 'shape',
    id: 'sail',
    outline: curve(
      at([
        top,
        [96 + b * 0.5, -166 - b * 0.4],
        right,
        [100 + b * 0.62, 84 + b * 0.3],
        bottom,
        [-100 - b * 0.3, 84 + b * 0.2],
        left,
        [-96 - b * 0.3, -166 - b * 0.3],
      ]),
      true,
    ),
  };
  // The spars bow with the wind; the sail sags between them.
  const upright = (y: number): number => b * 0.55 * (1 - ((y + 20) / 232) ** 2);
  const spar: Knot[] = [-250, -140, -20, 100, 212].map((y) => [upright(y), y]);
  const cross: Knot[] = [-186, -90, 0, 90, 186].map((x) => [x, -60 - b * 0.5 * (1 - (x / 186) ** 2)]);
  const tassels = (
    [
      ['left', -1, pose.tasselLeft],
      ['right', 1, pose.tasselRight],
    ] as const
  ).flatMap(([side, sign, swing]): Item[] => {
    const [x, y] = at([[186 * sign, -60]])[0]!;
    return [-20, 0, 20].map((fan, k): Shape => {
      const from: Pt = [x, y];
      const outward = pose.angle + (sign > 0 ? swing + fan * 0.9 : 180 - swing + fan * 0.9);
      const mid = polar(from, outward, 44);
      const tip = polar(
        mid,
        outward + fan * 0.5 + (sign > 0 ? 1 : -1) * swing * 0.25,
        46 - Math.abs(fan) * 0.3,
      );
      return {
        kind: 'shape',
        id: `tassel-${side}-${k}`,
        outline: tube(
          [[...from], [...mid], [...tip]],
          (u) => 5 + 13 * Math.sin(Math.min(1, u * 1.25) * Math.PI * 0.62),
        ).outline,
      };
    });
  });
  const rosettes = ([-1, 1] as const).map((sign): Shape => {
    const [x, y] = at([[180 * sign, -60]])[0]!;
    return { kind: 'shape', id: `rosette-${sign}`, outline: ellipse([x, y], 17, 17) };
  });
  return {
    items: [
      ...tassels,
      sail,
      inside('spar-top', spar.slice(0, 3), [false, true]),
      inside('cross', cross, [false, false]),
      inside(
        'patch',
        [
          [-90, 162],
          [-6 + b * 0.2, 132],
          [40 + b * 0.4, 142 + b * 0.1],
          [120, 116],
        ],
        [false, false],
      ),
      ...pleats(b).map((knots, k) => inside(`pleat-${k}`, knots, [false, true])),
      ...face(pose, at),
      ...rosettes,
    ],
    construction: [
      ...massesOf([sail]),
      { path: curve(at(spar)), pencil: 'blue', pressure: 0.6 },
      { path: curve(at(cross)), pencil: 'blue', pressure: 0.6 },
      { path: ellipse([pose.x, pose.y], 150 * pose.bank, 150, pose.angle), pencil: 'blue', pressure: 0.4 },
      ...[-52, 52].map((x): Construction => {
        const [cx, cy] = at([[x, 0]])[0]!;
        return { path: ellipse([cx, cy], 34, 34), pencil: 'blue', pressure: 0.4 };
      }),
    ],
  };
}

/** Where the cloth is pulled towards its corners. */
function pleats(b: number): Knot[][] {
  return [
    [
      [0, -250],
      [18 + b * 0.2, -196],
      [22 + b * 0.3, -150],
    ],
    [
      [0, -250],
      [-20, -200],
      [-30, -168],
    ],
    [
      [0, 212],
      [22 + b * 0.2, 176],
      [32 + b * 0.3, 156],
    ],
    [
      [186, -60],
      [140, -24 + b * 0.2],
      [112, -10 + b * 0.2],
    ],
    [
      [-186, -60],
      [-142, -28],
      [-116, -14],
    ],
  ];
}

function face(pose: KitePose, at: (knots: readonly Knot[]) => Knot[]): Item[] {
  const bulge = pose.billow * 0.5;
  const items: Item[] = [];
  for (const sign of [-1, 1]) {
    const x = 54 * sign + bulge * 0.5;
    const half = 30;
    if (pose.eyes < 0.15)
      items.push({
        kind: 'stroke',
        id: `eye-${sign}`,
        stays: true,
        path: curve(
          at([
            [x - half, -4],
            [x - half * 0.5, 10],
            [x, 14],
            [x + half * 0.5, 10],
            [x + half, -4],
          ]),
        ),
      });
    else {
      const up = lerp(-6, 30, pose.eyes);
      const id = `eye-${sign}`;
      items.push({
        kind: 'shape',
        id,
        outline: curve(
          at([
            [x - half, 2],
            [x - half * 0.6, -up * 0.8],
            [x, -up],
            [x + half * 0.6, -up * 0.8],
            [x + half, 2],
            [x + half * 0.6, 20],
            [x, 25],
            [x - half * 0.6, 20],
          ]),
          true,
        ),
      });
      const ring = (dx: number, dy: number, r: number): Pt[] =>
        curve(
          at(
            Array.from(
              { length: 10 },
              (_, k): Knot => [x + dx + Math.cos(k * 36 * RAD) * r, dy + Math.sin(k * 36 * RAD) * r],
            ),
          ),
          true,
        );
      items.push({
        kind: 'solid',
        id: `pupil-${sign}`,
        outline: ring(4, 2, 15),
        within: id,
        except: ring(9, -4, 5),
      });
    }
    const [cx, cy] = at([[sign * 88 + bulge * 0.5, 54]])[0]!;
    items.push({
      kind: 'stroke',
      id: `cheek-${sign}`,
      path: ellipse([cx, cy], 19 * pose.bank, 19, pose.angle),
      closed: true,
    });
  }
  const s = pose.smile;
  items.push({
    kind: 'stroke',
    id: 'mouth',
    stays: true,
    path: curve(
      at([
        [-34 + bulge * 0.5, 60 - s * 10],
        [-18 + bulge * 0.5, 66 + s * 6],
        [bulge * 0.5, 66 + s * 12],
        [18 + bulge * 0.5, 66 + s * 6],
        [34 + bulge * 0.5, 60 - s * 10],
      ]),
    ),
  });
  return items;
}

const TAIL_PX = 580;

export function drawTail(pose: TailPose): Scene {
  const angles = [pose.a, pose.b, pose.c, pose.d, pose.e];
  const knots: Knot[] = [[pose.x, pose.y]];
  for (const angle of angles) {
    const [x, y] = knots.at(-1)!;
    knots.push([...polar([x, y], angle, TAIL_PX / angles.length)]);
  }
  const spine = curve(knots);
  const normal = normals(spine);
  const last = spine.length - 1;
  /** Signed half width: the ribbon turns about its spine, and shows its back where this is below 0. */
  const half = (i: number): number => {
    const c = Math.cos((pose.twist + pose.twistMore * (i / last)) * RAD);
    return Math.sign(c) * Math.sqrt(Math.abs(c)) * lerp(26, 44, Math.min(1, (i / last) * 2));
  };
  const edge = (i: number, sign: number): Knot => [
    spine[i]![0] + normal[i]![0] * half(i) * sign,
    spine[i]![1] + normal[i]![1] * half(i) * sign,
  ];
  const turns = [0];
  for (let i = 1; i < last; i++) if (half(i) * half(i - 1) <= 0) turns.push(i);
  turns.push(last);
  const panels: Item[] = [];
  for (let k = turns.length - 2; k >= 0; k--) {
    const [from, to] = [turns[k]!, turns[k + 1]!];
    if (to - from < 4) continue;
    const id = `ribbon-${k}`;
    const go = Array.from({ length: to - from - 1 }, (_, j) => from + 1 + j);
    const notch: Knot[] = to === last ? [spine[Math.max(0, last - 12)]!] : [spine[to]!];
    panels.push({
      kind: 'shape',
      id,
      outline: curve(
        [
          [spine[from]![0], spine[from]![1], 1],
          ...go
            .map((i) => edge(i, 1))
            .map(([x, y], j): Knot => [x, y, to === last && j === go.length - 1 ? 1 : 0]),
          ...notch.map(([x, y]): Knot => [x, y, 1]),
          ...go
            .toReversed()
            .map((i) => edge(i, -1))
            .map(([x, y], j): Knot => [x, y, to === last && j === 0 ? 1 : 0]),
        ],
        true,
      ),
    });
    const fold = (tag: string, offset: number, a: number, b: number): Stroke => ({
      kind: 'stroke',
      id: `${id}-fold-${tag}`,
      path: go
        .slice(Math.round(go.length * a), Math.round(go.length * b))
        .map(
          (i): Pt => [
            spine[i]![0] + normal[i]![0] * half(i) * offset,
            spine[i]![1] + normal[i]![1] * half(i) * offset,
          ],
        ),
      within: id,
    });
    if (go.length * STEP_PX > 90) panels.push(fold('a', 0.3, 0.12, 0.5), fold('b', -0.35, 0.45, 0.86));
  }
  const bows = [0.3, 0.58, 0.84].flatMap((u, k) => {
    const i = Math.round(u * last);
    const along = Math.atan2(normal[i]![1], normal[i]![0]) / RAD - 90;
    return bow(`bow-${k}`, spine[i]!, along + pose.bowLag * (1 + k * 0.4), 1.15 - k * 0.08);
  });
  const items = [...panels, ...bows];
  return {
    items,
    construction: [
      { path: spine, pencil: 'blue', pressure: 0.65 },
      ...massesOf(items),
      ...knots.map(
        ([x, y]): Construction => ({ path: ellipse([x, y], 11, 11), pencil: 'blue', pressure: 0.4 }),
      ),
    ],
  };
}

/** Two loops and a knot, across the ribbon. */
function bow(id: string, centre: Pt, alongDeg: number, scale: number): Item[] {
  const items: Item[] = [];
  for (const sign of [-1, 1]) {
    const loop = (knots: readonly Knot[]): Knot[] =>
      place(knots, centre, alongDeg + 90 + (sign < 0 ? 180 : 0) - sign * 9, scale);
    items.push(
      {
        kind: 'shape',
        id: `${id}-loop-${sign}`,
        outline: curve(
          loop([
            [0, -6],
            [30, -27],
            [62, -34],
            [76, -16],
            [72, 14],
            [54, 28],
            [26, 18],
            [0, 7],
          ]),
          true,
        ),
      },
      // The inside of the loop.
      {
        kind: 'shape',
        id: `${id}-inside-${sign}`,
        outline: curve(
          loop([
            [30, -4],
            [50, -17],
            [63, -13],
            [62, 7],
            [50, 14],
          ]),
          true,
        ),
      },
    );
  }
  return [
    ...items,
    {
      kind: 'shape',
      id: `${id}-knot`,
      outline: curve(
        place(
          [
            [-13, -15],
            [0, -18],
            [13, -15],
            [16, 0],
            [13, 15],
            [0, 18],
            [-13, 15],
            [-16, 0],
          ] as Knot[],
          centre,
          alongDeg,
          scale,
        ),
        true,
      ),
    },
  ];
}
