/**
 * Wenna's head: a ball that turns, nods and squashes, with everything on it laid out in degrees.
 * Long because a head is mostly lists of points.
 */
import { clamp, curve, ellipse, type Knot, lerp, type Pt, place, RAD } from '../paper/geometry.ts';
import type { Construction, Item, Shape, Stroke } from '../paper/scene.ts';
import type { Pose } from './pose.ts';

const RX = 158;
const RY = 150;
/** Degrees from the nose to each eye, below the middle, and half an eye's width and height. */
const EYE = { lon: 24.5, lat: -12, halfLon: 11.5, halfLat: 18.5 };

export interface Head {
  /** Hangs behind the coat. */
  readonly behind: Item[];
  readonly front: Item[];
  readonly construction: Construction[];
}

export function drawHead(pose: Pose, centre: Pt, swell: number): Head {
  const scaleY = 1 + pose.stretch;
  const onSheet = <P extends Pt | Knot>(local: readonly P[]): P[] =>
    place(local, centre, pose.tilt, swell / scaleY, swell * scaleY);
  const pitch = pose.pitch * RAD;
  /** A point of the ball: degrees right of the nose, degrees up from the middle, distance in radii. */
  const ball = (lon: number, lat: number, r = 1, corner = 0): Knot => {
    const a = (lon + pose.yaw) * RAD;
    const b = lat * RAD;
    let x = Math.cos(b) * Math.sin(a);
    const z = Math.cos(b) * Math.cos(a);
    let y = Math.sin(b) * Math.cos(pitch) + z * Math.sin(pitch);
    const depth = z * Math.cos(pitch) - Math.sin(b) * Math.sin(pitch);
    // What has turned away lies on the silhouette.
    if (depth < 0) {
      const d = Math.hypot(x, y) || 1;
      x /= d;
      y /= d;
    }
    return [x * RX * r, -y * RY * r, corner];
  };
  const shape = (id: string, knots: readonly Knot[], more: Partial<Shape> = {}): Shape => ({
    kind: 'shape',
    id,
    outline: curve(onSheet(knots), true),
    ...more,
  });
  const stroke = (id: string, knots: readonly Knot[], more: Partial<Stroke> = {}): Stroke => ({
    kind: 'stroke',
    id,
    path: curve(onSheet(knots)),
    ...more,
  });

  const t = Math.sin(pose.yaw * RAD);
  const jaw = pose.mouthOpen * 16 - pose.pitch * 0.45;
  const cheekUp = pose.squint * 5;
  const face = shape('face', [
    [-6 * t, -148],
    [110 - 4 * t, -104],
    [149 - 7 * Math.max(0, t), -22],
    [150 + 3 * t - 2 * Math.abs(t), 44 - cheekUp],
    [108 + 26 * t, 108 + jaw * 0.5],
    [30 + 52 * t, 143 + jaw],
    [-30 + 52 * t, 143 + jaw],
    [-108 + 26 * t, 108 + jaw * 0.5],
    [-150 + 3 * t + 2 * Math.abs(t), 44 - cheekUp],
    [-149 - 7 * Math.min(0, t), -22],
    [-110 - 4 * t, -104],
  ]);

  const sx = pose.hairX;
  const up = pose.hairUp;
  const hairBack = shape('hair-back', [
    [0, -150],
    [136, -120],
    [198, -20],
    [200 + sx * 0.35, 66 - up * 0.3],
    [220 + sx * 0.9, 128 - up * 0.8],
    [256 + sx * 1.15, 142 - up * 1.2, 1],
    [186 + sx * 0.9, 166 - up * 0.8],
    [120 + sx * 0.6, 166 - up * 0.4],
    [60 + sx * 0.4, 172],
    [-60 + sx * 0.4, 172],
    [-120 + sx * 0.6, 168 - up * 0.2],
    [-186 + sx * 0.9, 170 - up * 0.5],
    [-252 + sx * 1.15, 150 - up * 0.8, 1],
    [-220 + sx * 0.9, 130 - up * 0.5],
    [-200 + sx * 0.35, 66 - up * 0.2],
    [-198, -20],
    [-136, -120],
  ]);
  // Strands run on to the tips, so that each lock is a shape to be painted.
  const strand = (id: string, knots: readonly Knot[]): Stroke =>
    stroke(id, knots, { within: 'hair-back', taper: [false, false] });
  const backLocks = [
    strand('strand-right', [
      [104, -128],
      [170, -20],
      [178 + sx * 0.35, 66 - up * 0.4],
      [206 + sx * 0.9, 136 - up * 0.8],
      [256 + sx * 1.15, 142 - up * 1.2],
      [286 + sx * 1.3, 144 - up * 1.4],
    ]),
    strand('strand-left', [
      [-104, -128],
      [-170, -20],
      [-178 + sx * 0.35, 66 - up * 0.3],
      [-206 + sx * 0.9, 143 - up * 0.6],
      [-252 + sx * 1.15, 150 - up * 0.8],
      [-282 + sx * 1.3, 154 - up * 0.9],
    ]),
  ];

  const lag = sx * 0.1;
  const fringe = shape('fringe', [
    ball(-76, 52, 1.04),
    ball(-70, 32, 1.06),
    ball(-60, 17, 1.06, 1),
    ball(-48, 12, 1.07),
    ball(-37 + lag, 9, 1.07, 1),
    ball(-28, 17, 1.06),
    ball(-21, 25, 1.05, 1),
    ball(-9, 16, 1.07),
    ball(6 + lag, 11, 1.08, 1),
    ball(13, 19, 1.06),
    ball(17, 26, 1.05, 1),
    ball(29, 18, 1.07),
    ball(42 + lag, 12, 1.07, 1),
    ball(50, 16, 1.06),
    ball(60, 20, 1.06, 1),
    ball(70, 32, 1.06),
    ball(76, 52, 1.04),
    ball(40, 64, 1),
    ball(0, 68, 1),
    ball(-40, 64, 1),
  ]);
  /** The lock before the ear; turned away, it hangs behind the cheek. */
  const sideLock = (side: 'left' | 'right', sign: 1 | -1): { lock: Shape; away: boolean } => {
    const turned = pose.yaw * sign;
    const away = turned > 8;
    const inner = away ? 12 : 50 + 15 * clamp(-turned / 27, 0, 1);
    return {
      away,
      lock: shape(`lock-${side}`, [
        ball(sign * 100, 50, 1.06),
        ball(sign * 98, 8, 1.1),
        ball(sign * 90 + lag, -24, 1.11),
        ball(sign * 75 + lag, -50, 1.1, 1),
        ball(sign * inner + lag, -18, 1.07),
        ball(sign * (inner - 6), 18, 1.07),
        ball(sign * (inner - 8), 50, 1.05),
      ]),
    };
  };
  const sideLocks = [sideLock('left', -1), sideLock('right', 1)];
  const locks = [-37, 6, 42].map((tip, k) =>
    stroke(
      `lock-${k}`,
      [ball(tip + 7, 40, 1.06), ball(tip + 5, 24, 1.07), ball(tip + lag, [7, 9, 10][k]!, 1.08)],
      { within: 'fringe', taper: [false, false] },
    ),
  );

  return {
    behind: [hairBack, ...backLocks],
    front: [
      ...sideLocks.filter((l) => l.away).map((l) => l.lock),
      face,
      ...features(pose, ball, onSheet),
      fringe,
      ...sideLocks.filter((l) => !l.away).map((l) => l.lock),
      ...locks,
      ...brows(pose, ball, onSheet),
      ...cap(pose, ball, shape, stroke),
    ],
    construction: [
      { path: ellipse(centre, RX / scaleY, RY * scaleY, pose.tilt), pencil: 'blue', pressure: 0.5 },
      {
        path: curve(onSheet([-62, -30, 0, 30, 62].map((lat) => ball(0, lat)))),
        pencil: 'blue',
        pressure: 0.5,
      },
      {
        path: curve(onSheet([-80, -40, 0, 40, 80].map((a) => ball(a - pose.yaw, EYE.lat)))),
        pencil: 'blue',
        pressure: 0.45,
      },
    ],
  };
}

type OnSheet = (local: readonly Knot[]) => Knot[];
type Ball = (lon: number, lat: number, r?: number, corner?: number) => Knot;

/** Brows lie over the fringe, as shapes to be painted. */
function brows(pose: Pose, ball: Ball, onSheet: OnSheet): Item[] {
  const lat = 15 + pose.browUp * 6;
  return ([-1, 1] as const).map((sign) => {
    const along = (lon: number, up: number): Knot => ball(sign * lon, lat + up, 1.03);
    const tilt = pose.browTilt;
    return {
      kind: 'shape',
      id: `brow-${sign}`,
      outline: curve(
        onSheet([
          along(10, tilt * 5 - 4),
          along(13, tilt * 4.4 - 0.6),
          along(22, 3.4),
          along(31, 1 - tilt * 2.6),
          along(36, -tilt * 4 - 4),
          along(31, -2.6 - tilt * 2.8),
          along(22, -1.2),
          along(13, tilt * 4.4 - 5),
        ]),
        true,
      ),
    };
  });
}

function features(pose: Pose, ball: Ball, onSheet: OnSheet): Item[] {
  const line = (id: string, knots: readonly Knot[], more: Partial<Stroke> = {}): Stroke => ({
    kind: 'stroke',
    id,
    path: curve(onSheet(knots)),
    stays: true,
    ...more,
  });
  const ring = (lon: number, lat: number, halfLon: number, halfLat: number): Pt[] =>
    curve(
      onSheet(
        Array.from({ length: 12 }, (_, k) =>
          ball(lon + halfLon * Math.cos(k * 30 * RAD), lat + halfLat * Math.sin(k * 30 * RAD)),
        ),
      ),
      true,
    );
  const items: Item[] = [];
  for (const [side, sign] of [
    ['left', -1],
    ['right', 1],
  ] as const) {
    const lon = EYE.lon * sign;
    const upper = EYE.halfLat * (1.6 * pose.eyes - 0.6);
    const lower = EYE.halfLat * (0.82 - 0.5 * pose.squint);
    const lid = (u: number): Knot =>
      ball(
        lon + EYE.halfLon * u,
        EYE.lat + upper * Math.sqrt(Math.max(0, 1 - u * u)) - (pose.eyes < 1 ? 2 * (1 - pose.eyes) : 0),
      );
    const us = [-1, -0.8, -0.4, 0, 0.4, 0.8, 1];
    const outer = sign;
    if (upper + lower < 3.2) {
      items.push(
        line(
          `eye-${side}`,
          us.map((u) =>
            ball(lon + EYE.halfLon * 1.1 * u, EYE.lat - 2 - lower * 0.9 * (1 - u * u) - 2 * Math.abs(u)),
          ),
        ),
        line(
          `lash-${side}`,
          [
            ball(lon + outer * EYE.halfLon * 0.72, EYE.lat - 4 - lower * 0.42),
            ball(lon + outer * EYE.halfLon * 1.25, EYE.lat - 9 - lower * 0.2),
          ],
          { taper: [false, true] },
        ),
      );
    } else {
      const floor = us
        .slice(1, -1)
        .reverse()
        .map((u) => ball(lon + EYE.halfLon * u * 0.96, EYE.lat - lower * Math.sqrt(1 - u * u)));
      items.push({
        kind: 'shape',
        id: `eye-${side}`,
        outline: curve(onSheet([...us.map(lid), ...floor]), true),
      });
      const [gx, gy] = [lon * 0.97 + pose.gazeX * 5, EYE.lat + pose.gazeY * 6 - 0.5];
      items.push(
        {
          kind: 'stroke',
          id: `iris-${side}`,
          path: ring(gx, gy, 8.8, 14),
          closed: true,
          within: `eye-${side}`,
        },
        {
          kind: 'solid',
          id: `pupil-${side}`,
          outline: ring(gx, gy, 5.2, 9),
          within: `eye-${side}`,
          except: ring(gx - 2.2, gy + 5, 2.2, 3.3),
        },
        line(
          `lash-${side}`,
          [
            lid(outer * 0.94),
            ball(lon + outer * EYE.halfLon * 1.28, EYE.lat + upper * 0.34 + 1),
            ball(lon + outer * EYE.halfLon * 1.58, EYE.lat + upper * 0.3 + 3),
          ],
          { taper: [false, true] },
        ),
      );
      if (pose.eyes > 0.62)
        items.push(
          line(
            `fold-${side}`,
            [-0.62, -0.1, 0.45, 0.8].map((u) =>
              ball(lon + EYE.halfLon * u * 1.02, EYE.lat + upper * Math.sqrt(1 - u * u * 0.8) + 4.6),
            ),
          ),
        );
    }
  }
  items.push(line('nose', [ball(1, -22, 1.1), ball(4.5, -26, 1.15), ball(0, -29.5, 1.08)]));
  const lat = -46;
  const half = 17 * pose.mouthWide;
  const lip = (u: number): Knot =>
    ball(half * u, lat + pose.smile * (5.5 * u * u - 3.2), 1, Math.abs(u) === 1 ? 1 : 0);
  const top = [-1, -0.6, 0, 0.6, 1].map(lip);
  const drop = pose.mouthOpen * 17;
  if (drop < 2.2) items.push(line('mouth', top));
  else {
    const bottom = [0.86, 0.45, 0, -0.45, -0.86].map((u) =>
      ball(half * u, lat + pose.smile * (5.5 * u * u - 3.2) - drop * (1 - u * u) ** 0.55),
    );
    items.push({ kind: 'shape', id: 'mouth', outline: curve(onSheet([...top, ...bottom]), true) });
    if (drop > 6)
      items.push(
        line(
          'tongue',
          [-0.8, -0.35, 0, 0.4, 0.8].map((u) =>
            ball(half * u, lat - pose.smile * 3.2 - drop * (0.62 + 0.3 * u * u) - (u === 0 ? 1.6 : 0)),
          ),
          { within: 'mouth', taper: [false, false] },
        ),
        line(
          'teeth',
          [-1, -0.5, 0, 0.5, 1].map((u) =>
            ball(half * u, lat + pose.smile * (5.5 * u * u - 3.2) - drop * 0.24),
          ),
          { within: 'mouth', taper: [false, false] },
        ),
      );
  }
  return items;
}

function cap(
  pose: Pose,
  ball: Ball,
  shape: (id: string, knots: readonly Knot[], more?: Partial<Shape>) => Shape,
  stroke: (id: string, knots: readonly Knot[], more?: Partial<Stroke>) => Stroke,
): Item[] {
  // Rings of the cap run round the ball, whatever way the face looks.
  const round = (angle: number, lat: number, r: number): Knot => ball(angle - pose.yaw, lat, r);
  const angles = [-88, -60, -30, 0, 30, 60, 88];
  const band = shape('cap-band', [
    ...angles.map((a) => round(a, 28, 1.12)),
    ...angles.toReversed().map((a) => round(a, 53, 1.19)),
  ]);
  const [leanX, leanY] = [Math.sin(pose.capLean * RAD), Math.cos(pose.capLean * RAD)];
  const crown: Knot = [leanX * 150 - Math.sin(pose.yaw * RAD) * 16, -204 * leanY + pose.pitch * 0.5];
  const [cx, cy] = crown;
  const dome = shape('cap-dome', [
    [-112, -96],
    [-122 + cx * 0.15, -130],
    [-92 + cx * 0.5, lerp(-178, cy, 0.35)],
    [-32 + cx, cy + 4],
    [32 + cx, cy + 4],
    [92 + cx * 0.5, lerp(-178, cy, 0.35)],
    [122 + cx * 0.15, -130],
    [112, -96],
    round(0, 44, 1.1),
  ]);
  const bobbleAt: Pt = [cx + Math.sin(pose.bobble * RAD) * 40, cy + 10 - Math.cos(pose.bobble * RAD) * 40];
  const tufts = 10;
  const bobble = shape(
    'bobble',
    Array.from({ length: tufts * 3 }, (_, k): Knot => {
      const a = (((k + (k % 3 === 2 ? 0.25 : 0)) / (tufts * 3)) * 360 + pose.bobble * 1.3) * RAD;
      const r = k % 3 ? 48 + 3 * Math.sin(k * 2.4) : 39;
      return [bobbleAt[0] + Math.cos(a) * r, bobbleAt[1] + Math.sin(a) * r, k % 3 ? 0 : 1];
    }),
  );
  const ribs = Array.from({ length: 24 }, (_, k) => k * 15 - 180).flatMap((lon) => {
    const angle = ((lon + pose.yaw + 540) % 360) - 180;
    if (Math.abs(angle) > 74) return [];
    return [
      stroke(`rib-${lon}`, [ball(lon, 22, 1.1), ball(lon, 32, 1.14), ball(lon, 40, 1.165)], {
        within: 'cap-band',
        taper: [false, true],
      }),
    ];
  });
  // Seams run from the band to the crown, under the bobble.
  const knit = [-60, -10, 40].flatMap((lon) => {
    const angle = lon + pose.yaw * 0.7;
    if (Math.abs(angle) > 62) return [];
    const x = Math.sin(angle * RAD);
    return [
      stroke(
        `knit-${lon}`,
        [
          [x * 118, -88],
          [x * 116 + cx * 0.2, -132],
          [x * 78 + cx * 0.6, lerp(-160, cy, 0.5)],
          [cx, cy + 8],
        ],
        { within: 'cap-dome', taper: [false, false] },
      ),
    ];
  });
  return [dome, ...knit, bobble, band, ...ribs];
}
