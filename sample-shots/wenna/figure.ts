/**
 * Wenna, who minds the ferry landing: bobble cap, long scarf, a coat too big for her, rubber boots.
 * Long because a figure is mostly lists of points, and its parts are read together.
 */
import {
  clamp,
  curve,
  dist,
  ellipse,
  type Knot,
  lerp,
  mix,
  normals,
  type Pt,
  place,
  polar,
  RAD,
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
import { between } from '../paper/timing.ts';
import { drawHand } from './hand.ts';
import { drawHead } from './head.ts';
import type { Pose } from './pose.ts';

export const SHEET = { width: 2048, height: 1152, scale: 1 } as const;
const MIDDLE = 1010;
const FLOOR = 1084;
const COAT = 318;
const UPPER_ARM = 106;
const FOREARM = 96;

/** Points of the figure whose motion an in-between's chart speaks of. */
export interface Landmarks {
  readonly head: Pt;
  readonly neck: Pt;
  readonly hem: Pt;
  readonly wristLeft: Pt;
  readonly wristRight: Pt;
}

interface Arm {
  readonly shoulder: Pt;
  readonly elbow: Pt;
  readonly wrist: Pt;
  /** Direction of the hand, degrees. */
  readonly hand: number;
}

interface Frame {
  readonly neck: Pt;
  readonly head: Pt;
  readonly spine: readonly Pt[];
  readonly across: readonly Pt[];
  readonly left: Arm;
  readonly right: Arm;
}

function frameOf(pose: Pose): Frame {
  const hem: Pt = [pose.hemX, pose.hemY];
  const neck: Pt = [
    hem[0] + Math.sin(pose.lean * RAD) * pose.coatLength,
    hem[1] - Math.cos(pose.lean * RAD) * pose.coatLength,
  ];
  const middle = mix(neck, hem, 0.45);
  const spine = curve([[...neck], [middle[0] + pose.bow, middle[1]], [...hem]]);
  // Travelling down the spine, its normals point left.
  const across = normals(spine).map(([x, y]): Pt => [-x, -y]);
  const arm = (side: 1 | -1, raise: number, upper: number, fore: number, wrist: number): Arm => {
    const i = Math.round(spine.length * 0.16);
    const wide = 80 + pose.turn * 8 * side;
    const shoulder: Pt = [
      spine[i]![0] + across[i]![0] * wide * side,
      spine[i]![1] + across[i]![1] * wide * side - raise,
    ];
    const toAngle = (deg: number): number => (side > 0 ? 90 - deg : 90 + deg);
    const elbow = polar(shoulder, toAngle(upper), UPPER_ARM);
    return {
      shoulder,
      elbow,
      wrist: polar(elbow, toAngle(upper + fore), FOREARM),
      hand: toAngle(upper + fore + wrist),
    };
  };
  return {
    neck,
    head: polar(neck, pose.tilt * 0.8 + pose.lean * 0.2 - 90, pose.headUp),
    spine,
    across,
    left: arm(-1, pose.shoulderLeft, pose.armLeft, pose.foreLeft, pose.wristLeft),
    right: arm(1, pose.shoulderRight, pose.armRight, pose.foreRight, pose.wristRight),
  };
}

export function landmarks(pose: Pose): Landmarks {
  const { head, neck, left, right } = frameOf(pose);
  return { head, neck, hem: [pose.hemX, pose.hemY], wristLeft: left.wrist, wristRight: right.wrist };
}

/** Degrees brought within half a turn of `near`. */
const nearest = (deg: number, near: number): number => deg - 360 * Math.round((deg - near) / 360);

/**
 * The pose at `fraction` of the way from `a` to `b`. Angles swing, so a wrist travels on its arc; but turning
 * shoulder and elbow at once would put it early or late on it, so the elbow gives until the wrist is where the
 * chart says.
 */
export function inbetweenWenna(a: Pose, b: Pose, fraction: number): Pose {
  const pose = between(a, b, fraction);
  const [from, to, swung] = [frameOf(a), frameOf(b), frameOf(pose)];
  for (const [side, sign, arm, fore, wrist] of [
    ['left', -1, 'armLeft', 'foreLeft', 'wristLeft'],
    ['right', 1, 'armRight', 'foreRight', 'wristRight'],
  ] as const) {
    const [start, end] = [from[side].wrist, to[side].wrist];
    const chordPx = dist(start, end);
    // A wrist that hardly travels has no place on its way.
    if (chordPx < 12) continue;
    const along: Pt = [(end[0] - start[0]) / chordPx, (end[1] - start[1]) / chordPx];
    const { shoulder, elbow, wrist: at } = swung[side];
    const late = fraction * chordPx - ((at[0] - start[0]) * along[0] + (at[1] - start[1]) * along[1]);
    const target: Pt = [at[0] + along[0] * late, at[1] + along[1] * late];
    const reach = clamp(dist(shoulder, target), Math.abs(UPPER_ARM - FOREARM) + 1, UPPER_ARM + FOREARM - 0.5);
    const toTarget = Math.atan2(target[1] - shoulder[1], target[0] - shoulder[0]) / RAD;
    // Law of cosines; the elbow stays on its side.
    const inner = Math.acos((UPPER_ARM ** 2 + reach ** 2 - FOREARM ** 2) / (2 * UPPER_ARM * reach)) / RAD;
    const cross =
      (target[0] - shoulder[0]) * (elbow[1] - shoulder[1]) -
      (target[1] - shoulder[1]) * (elbow[0] - shoulder[0]);
    const upperDir = toTarget + Math.sign(cross) * inner;
    const bent = polar(shoulder, upperDir, UPPER_ARM);
    const foreDir = Math.atan2(target[1] - bent[1], target[0] - bent[0]) / RAD;
    const hand = pose[arm] + pose[fore] + pose[wrist];
    const foreSum = nearest((90 - foreDir) * sign, pose[arm] + pose[fore]);
    pose[arm] = nearest((90 - upperDir) * sign, pose[arm]);
    pose[fore] = foreSum - pose[arm];
    pose[wrist] = hand - foreSum;
  }
  return pose;
}

/** `swell` enlarges the head about its middle: 1 as posed. */
export function drawWenna(pose: Pose, swell = 1): Scene {
  const frame = frameOf(pose);
  const head = drawHead(pose, frame.head, swell);
  const coat = drawCoat(pose, frame);
  const scarf = drawScarf(pose, frame);
  const items = [
    ...head.behind,
    ...drawLeg('left', pose),
    ...drawLeg('right', pose),
    ...scarf.behind,
    ...coat,
    ...scarf.tail,
    ...drawArm('left', frame.left, pose.openLeft),
    ...drawArm('right', frame.right, pose.openRight),
    ...scarf.wrap,
    ...head.front,
  ];
  return {
    items,
    construction: [...massesOf(items), ...head.construction, ...bodyConstruction(pose, frame)],
  };
}

function drawCoat(pose: Pose, { spine, across }: Frame): Item[] {
  const wide = COAT / pose.coatLength;
  const profile: readonly (readonly [s: number, half: number])[] = [
    [0, 60],
    [0.07, 86],
    [0.17, 104],
    [0.4, 114],
    [0.7, 140],
    [1, 170],
  ];
  const half = (s: number): number => {
    const down = clamp(s, 0, 1);
    const k = Math.max(
      1,
      profile.findIndex(([at]) => at >= down),
    );
    const [a, b] = [profile[k - 1]!, profile[k]!];
    return lerp(a[1], b[1], (down - a[0]) / (b[0] - a[0])) * wide;
  };
  /** A point of the coat: s down from the neck, q from -1 at the left side to 1 at the right. */
  const on = (s: number, q: number, corner = 0): Knot => {
    const i = Math.round(clamp(s, 0, 1) * (spine.length - 1));
    const swing = pose.hemSwing * s * s * s;
    const flare = 1 + (pose.hemFlare / 140) * s * s;
    const droop =
      s > 0.9 ? (24 * (1 - q * q) + 5 * Math.sin(q * 7 + pose.hemSwing * 0.05)) * ((s - 0.9) / 0.1) : 0;
    return [
      spine[i]![0] + across[i]![0] * q * half(s) * flare + swing,
      spine[i]![1] + across[i]![1] * q * half(s) * flare + droop,
      corner,
    ];
  };
  /** Just off the hem, so that a fold starts on it. */
  const below = (q: number): Knot => [on(1, q)[0], on(1, q)[1] + 14];
  const downs = [0.07, 0.17, 0.4, 0.7];
  const outline = curve(
    [
      on(0, 1),
      ...downs.map((s) => on(s, 1)),
      on(1, 1, 1),
      ...[0.72, 0.42, 0.12, -0.18, -0.48, -0.76].map((q) => on(1, q)),
      on(1, -1, 1),
      ...downs.toReversed().map((s) => on(s, -1)),
      on(0, -1),
    ],
    true,
  );
  const front = pose.turn * 0.3;
  const seam = (id: string, knots: readonly Knot[], taper: readonly [boolean, boolean]): Stroke => ({
    kind: 'stroke',
    id,
    path: curve(knots),
    within: 'coat',
    taper,
  });
  const toggles = [0.36, 0.55, 0.74].map((s, k): Shape => {
    const [x, y] = on(s, front + 0.02);
    const c: Pt = [x, y];
    const lean = Math.atan2(across[0]![1], across[0]![0]) / RAD;
    return {
      kind: 'shape',
      id: `toggle-${k}`,
      outline: curve(
        place(
          [
            [-24, -8],
            [0, -11],
            [24, -8],
            [28, 0],
            [24, 8],
            [0, 11],
            [-24, 8],
            [-28, 0],
          ] as Knot[],
          c,
          lean + 4,
        ),
        true,
      ),
    };
  });
  const pocket = (id: string, side: 1 | -1): Item[] => {
    const c = side * 0.58 + front * 0.4;
    const w = 0.27 - side * pose.turn * 0.04;
    const part = (tag: string, knots: readonly Knot[]): Shape => ({
      kind: 'shape',
      id: `${id}${tag}`,
      outline: curve(knots, true),
    });
    return [
      part('', [
        on(0.7, c - w * 0.92, 1),
        on(0.86, c - w * 0.96),
        on(0.885, c - w * 0.6),
        on(0.89, c),
        on(0.885, c + w * 0.6),
        on(0.86, c + w * 0.96),
        on(0.7, c + w * 0.92, 1),
      ]),
      part('-flap', [
        on(0.66, c - w, 1),
        on(0.655, c),
        on(0.66, c + w, 1),
        on(0.745, c + w * 1.02),
        on(0.765, c),
        on(0.745, c - w * 1.02),
      ]),
    ];
  };
  return [
    { kind: 'shape', id: 'coat', outline },
    seam(
      'placket',
      [on(0.05, front), on(0.4, front + 0.01), on(0.8, front), on(0.94, front), on(1.02, front)],
      [false, false],
    ),
    seam('fold-left', [below(-0.62), on(0.9, -0.6), on(0.79, -0.52)], [false, true]),
    seam('fold-right', [below(0.66), on(0.92, 0.64), on(0.8, 0.55)], [false, true]),
    seam('drag-right', [on(0.31, 0.74), on(0.42, 0.6), on(0.47, 0.34)], [true, true]),
    ...pocket('pocket-left', -1),
    ...pocket('pocket-right', 1),
    ...toggles,
  ];
}

function drawArm(side: 'left' | 'right', { shoulder, elbow, wrist, hand }: Arm, open: number): Item[] {
  const sign = side === 'right' ? 1 : -1;
  const sleeve = tube(
    [
      [...shoulder],
      [...mix(shoulder, elbow, 0.55)],
      [...mix(mix(shoulder, wrist, 0.5), elbow, 0.86)],
      [...mix(elbow, wrist, 0.5)],
      [...wrist],
    ],
    (u) => lerp(39, 32, Math.min(1, u * 2)) + 6 * Math.max(0, u - 0.5) * 2,
    48,
    true,
  );
  const cuffAngle = Math.atan2(wrist[1] - elbow[1], wrist[0] - elbow[0]) / RAD;
  const cuff = curve(
    place(
      [
        [-18, -40],
        [0, -45],
        [16, -43],
        [23, -32],
        [26, 0],
        [23, 32],
        [16, 43],
        [0, 45],
        [-18, 40],
        [-13, 0],
      ] as Knot[],
      wrist,
      cuffAngle,
    ),
    true,
  );
  const reach = polar(wrist, cuffAngle, 16);
  // A fold hangs from the inside of the bend.
  const turn = nearest(cuffAngle - Math.atan2(elbow[1] - shoulder[1], elbow[0] - shoulder[0]) / RAD, 0);
  const bend = Math.sign(turn) || 1;
  const [fold, inward] = [polar(elbow, cuffAngle, 8), cuffAngle + 90 * bend];
  const crease: Stroke = {
    kind: 'stroke',
    id: `sleeve-${side}-crease`,
    path: curve([
      [...polar(fold, inward, 37)],
      [...polar(polar(fold, inward, 16), cuffAngle, 3)],
      [...polar(polar(fold, inward, -1), cuffAngle, -4)],
    ]),
    within: `sleeve-${side}`,
  };
  return [
    // The thumb points to the body while the arm hangs.
    ...drawHand(`hand-${side}`, reach, hand, open, sign),
    {
      kind: 'shape',
      id: `sleeve-${side}`,
      outline: sleeve.outline,
      soft: sleeve.soft,
      mergeWith: ['coat'],
      over: ['scarf-tail'],
      creasePx: 26,
    },
    // A sharp bend is drawn by the sleeve's own line.
    ...(Math.abs(turn) < 60 ? [crease] : []),
    { kind: 'shape', id: `cuff-${side}`, outline: cuff },
  ];
}

function drawLeg(side: 'left' | 'right', pose: Pose): Item[] {
  const sign = side === 'right' ? 1 : -1;
  const heel = side === 'right' ? pose.heelRight : pose.heelLeft;
  const toe: Pt = [MIDDLE + (side === 'right' ? pose.footRight : pose.footLeft) + 74 * sign, FLOOR];
  const boot = (knots: readonly Knot[]): Knot[] =>
    place(
      knots.map(([x, y, corner]): Knot => [(x - 74) * sign, y - 44, corner]),
      toe,
      heel * sign,
    );
  const ankle = boot([[0, -60]])[0]!;
  const hip: Pt = [pose.hemX + 54 * sign, pose.hemY - 60];
  const knee: Pt = [lerp(hip[0], ankle[0], 0.55) + 10 * sign, lerp(hip[1], ankle[1], 0.55)];
  return [
    {
      kind: 'shape',
      id: `leg-${side}`,
      outline: tube([[...hip], [...knee], [ankle[0], ankle[1]]], (u) => lerp(46, 34, u)).outline,
    },
    {
      kind: 'shape',
      id: `boot-${side}`,
      outline: curve(
        boot([
          [-47, -78, 1],
          [0, -70],
          [47, -78, 1],
          [42, -42],
          [52, -16],
          [86, -6],
          [108, 16],
          [108, 44, 1],
          [40, 46],
          [-44, 44, 1],
          [-46, 14],
          [-38, -28],
        ]),
        true,
      ),
    },
    {
      kind: 'stroke',
      id: `sole-${side}`,
      path: curve(
        boot([
          [-60, 25],
          [-20, 27],
          [30, 27],
          [80, 25],
          [120, 22],
        ]),
      ),
      within: `boot-${side}`,
      taper: [false, false],
    },
    {
      kind: 'stroke',
      id: `boot-band-${side}`,
      path: curve(
        boot([
          [-60, -57],
          [-20, -50],
          [20, -50],
          [60, -57],
        ]),
      ),
      within: `boot-${side}`,
      taper: [false, false],
    },
  ];
}

function drawScarf(pose: Pose, { neck }: Frame): { behind: Item[]; tail: Item[]; wrap: Item[] } {
  const lean = pose.lean * 0.6 + pose.tilt * 0.4;
  const local = (knots: readonly Knot[]): Knot[] => place(knots, [neck[0], neck[1] + 4], lean);
  const wrap: Shape = {
    kind: 'shape',
    id: 'scarf',
    outline: curve(
      local([
        [-118, -22],
        [-124, 12],
        [-96, 46],
        [-40, 66],
        [20, 68],
        [84, 52],
        [122, 16],
        [116, -24],
        [60, -44],
        [-60, -44],
      ]),
      true,
    ),
  };
  const knotSide = -46;
  const root = local([[knotSide, 40]])[0]!;
  const length = 92;
  const tail = (id: string, from: Knot, lag: number, lengthen: number): Item[] => {
    const a = polar([from[0], from[1]], pose.scarfRoot + lag * 0.3, length * lengthen);
    const b = polar(a, pose.scarfMid + lag * 0.7, length * lengthen);
    const c = polar(b, pose.scarfTip + lag, length * lengthen);
    const { outline, spine } = tube([from, [...a], [...b], [...c]], (u) => lerp(24, 36, u), 0, true);
    const normal = normals(spine);
    const bar = (k: number, u: number): Stroke => {
      const i = Math.round(u * (spine.length - 1));
      const [p, n] = [spine[i]!, normal[i]!];
      const next = spine[Math.min(spine.length - 1, i + 3)]!;
      return {
        kind: 'stroke',
        id: `${id}-bar-${k}`,
        path: curve([
          [p[0] - n[0] * 60, p[1] - n[1] * 60],
          [next[0], next[1]],
          [p[0] + n[0] * 60, p[1] + n[1] * 60],
        ]),
        within: id,
        taper: [false, false],
      };
    };
    return [{ kind: 'shape', id, outline }, bar(1, 0.74), bar(2, 0.86)];
  };
  const knot: Shape = {
    kind: 'shape',
    id: 'scarf-knot',
    outline: curve(
      local([
        [knotSide - 34, 20],
        [knotSide, 8],
        [knotSide + 34, 22],
        [knotSide + 36, 54],
        [knotSide, 70],
        [knotSide - 36, 52],
      ]),
      true,
    ),
  };
  const wind = (id: string, knots: readonly Knot[]): Stroke => ({
    kind: 'stroke',
    id,
    path: curve(local(knots)),
    within: 'scarf',
    taper: [false, true],
  });
  return {
    behind: tail('scarf-tail-back', [root[0] + 14, root[1], 0], 22, 0.78),
    tail: tail('scarf-tail', root, 0, 1),
    wrap: [
      wrap,
      wind('scarf-fold-1', [
        [140, 0],
        [60, 30],
        [-10, 36],
      ]),
      knot,
    ],
  };
}

function bodyConstruction(pose: Pose, { neck, head, spine, left, right }: Frame): Construction[] {
  const hem: Pt = [pose.hemX, pose.hemY];
  const joint = (p: Pt, r: number): Construction => ({
    path: ellipse(p, r, r),
    pencil: 'blue',
    pressure: 0.4,
  });
  const bone = (a: Pt, b: Pt): Construction => ({
    path: curve([[...a], [...b]]),
    pencil: 'blue',
    pressure: 0.42,
  });
  const chest = spine[Math.round(spine.length * 0.25)]!;
  return [
    {
      path: curve([
        [...head],
        [...neck],
        ...[0.4, 0.7].map((s): Knot => [...spine[Math.round(spine.length * s)]!]),
        [hem[0], hem[1] + 40],
      ]),
      pencil: 'blue',
      pressure: 0.6,
    },
    { path: ellipse(chest, 88, 74, pose.lean), pencil: 'blue', pressure: 0.4 },
    { path: ellipse([hem[0], hem[1] - 62], 96, 66, pose.lean), pencil: 'blue', pressure: 0.4 },
    ...[left, right].flatMap((arm) => [
      joint(arm.shoulder, 34),
      joint(arm.elbow, 26),
      joint(arm.wrist, 22),
      bone(arm.shoulder, arm.elbow),
      bone(arm.elbow, arm.wrist),
    ]),
    {
      path: curve([
        [MIDDLE - 260, FLOOR + 2],
        [MIDDLE, FLOOR + 4],
        [MIDDLE + 260, FLOOR + 2],
      ]),
      pencil: 'blue',
      pressure: 0.35,
    },
  ];
}
