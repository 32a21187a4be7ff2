/**
 * The two sample shots: every file of them, and the faults planted in them.
 * Long because the planted faults are listed beside the shots they are in.
 */

import { KITE_TIMING, TAIL_TIMING } from './kite/flight.ts';
import { drawKite, drawTail, SHEET as KITE_SHEET } from './kite/kite.ts';
import { cleanInk, cleanPng, roughPng, type Sheet } from './paper/drawing.ts';
import type { Inked } from './paper/ink.ts';
import { notation } from './paper/notation.ts';
import { seedOf } from './paper/random.ts';
import type { Run, Scene } from './paper/scene.ts';
import { type Posed, poseAll, type Timed } from './paper/timing.ts';
import { addSpecks, type Box, boxOf, forget, openGap, type PlantedFault, runsOf } from './planted.ts';
import { WENNA_TIMING } from './wenna/acting.ts';
import { drawWenna, inbetweenWenna, SHEET as WENNA_SHEET } from './wenna/figure.ts';
import type { Pose } from './wenna/pose.ts';

export const WEIGHT_PX = 5;

export interface ShotFile {
  /** Relative to the folder of the sample shots. */
  readonly path: string;
  readonly bytes: Uint8Array;
}

/** What is wrong with one clean drawing. Given what is right, each part answers with what is drawn. */
interface Mischief {
  readonly check: PlantedFault['check'];
  readonly kind?: PlantedFault['kind'];
  readonly unit: PlantedFault['unit'];
  readonly what: string;
  readonly amount?: number;
  readonly alsoSeenBy?: readonly string[];
  /** The share by which the line is too heavy. */
  readonly heavier?: number;
  readonly lines?: (runs: readonly Run[]) => { runs: Run[]; box: Box; lengthPx?: number };
  readonly specks?: readonly (readonly [x: number, y: number, radiusPx: number])[];
  /** The share by which the head's sides swell. */
  readonly swell?: number;
  /** Lines whose box the fault covers; all, when empty. */
  readonly of?: readonly string[];
}

interface LevelPlan<P> {
  readonly name: string;
  readonly timing: readonly Timed<P>[];
  readonly draw: (pose: P, swell?: number) => Scene;
  readonly mischief: Readonly<Record<string, Mischief>>;
  /** How two poses are in-betweened; number by number, when left out. */
  readonly inbetweenOf?: (a: P, b: P, fraction: number) => P;
  readonly slip?: (label: string, a: P, b: P) => P | undefined;
}

interface ShotPlan {
  readonly folder: string;
  readonly title: string;
  readonly sheet: Sheet;
  readonly transparent: boolean;
  /** Levels of different poses: each is drawn by itself. */
  readonly levels: readonly LevelPlan<never>[];
}

const ARM_RIGHT = ['shoulderRight', 'armRight', 'foreRight', 'wristRight', 'openRight'] as const;

const wenna: LevelPlan<Pose> = {
  name: '',
  timing: WENNA_TIMING,
  draw: drawWenna,
  inbetweenOf: inbetweenWenna,
  slip: (label, a, b) => {
    if (label === '19') return inbetweenWenna(a, b, 0.48);
    if (label !== '35') return undefined;
    const pose = inbetweenWenna(a, b, 0.5);
    const late = inbetweenWenna(a, b, 0.22);
    for (const part of ARM_RIGHT) pose[part] = late[part];
    return pose;
  },
  mischief: {
    '13': {
      check: 'leaks',
      unit: 'px',
      what: 'The left cuff opens 6 px.',
      amount: 6,
      lines: (runs) => openGap(runs, 'cuff-left', 0.5, 6, WEIGHT_PX),
    },
    '19': {
      check: 'spacing',
      unit: 'fraction',
      what: 'Drawn at 0.48 between 15 and 20; its chart says two thirds.',
      amount: 0.48,
      of: [],
    },
    '21': {
      check: 'drift',
      kind: 'missed',
      unit: 'px',
      what: 'The sole of the right boot is in the rough and was forgotten in the clean drawing.',
      lines: (runs) => forget(runs, 'sole-right'),
    },
    '24': {
      check: 'volume',
      unit: 'share',
      what: 'The head swells by a tenth of its area.',
      amount: 0.1,
      swell: 0.05,
      alsoSeenBy: ['drift'],
      of: ['face', 'hair-back', 'cap-band', 'cap-dome', 'bobble'],
    },
    '26': {
      check: 'weight',
      unit: 'share',
      what: 'The whole drawing is inked 30 % too heavy.',
      amount: 0.3,
      heavier: 0.3,
      of: [],
    },
    '35': {
      check: 'spacing',
      unit: 'fraction',
      what: 'The waving arm lies at 0.22 between 33 and 37, the rest at a half as its chart says.',
      amount: 0.22,
      of: ['sleeve-right', 'cuff-right', 'hand-right-palm'],
    },
    '42': {
      check: 'specks',
      unit: 'count',
      what: 'Three specks: two beside her, one on the coat.',
      specks: [
        [702, 356, 2.2],
        [1392, 842, 2.8],
        [1052, 872, 1.9],
      ],
    },
  },
};

const kite = {
  name: 'kite',
  timing: KITE_TIMING,
  draw: drawKite,
  mischief: {
    '7': {
      check: 'leaks',
      unit: 'px',
      what: 'The edge of the sail opens 8 px, low on the right.',
      amount: 8,
      lines: (runs: readonly Run[]) => openGap(runs, 'sail', 0.38, 8, WEIGHT_PX),
    },
  },
} as const;

const tail = {
  name: 'tail',
  timing: TAIL_TIMING,
  draw: drawTail,
  mischief: {
    '15': {
      check: 'specks',
      unit: 'count',
      what: 'Two specks under the ribbon.',
      specks: [
        [806, 700, 2.4],
        [871, 716, 2],
      ],
    },
    '25': {
      check: 'weight',
      unit: 'share',
      what: 'The whole drawing is inked 28 % too heavy.',
      amount: 0.28,
      heavier: 0.28,
      of: [],
    },
  },
} as const;

export const SHOTS: readonly ShotPlan[] = [
  {
    folder: 'wenna-hears-the-ferry',
    title: 'Wenna hears the ferry',
    sheet: WENNA_SHEET,
    transparent: false,
    levels: [wenna as unknown as LevelPlan<never>],
  },
  {
    folder: 'kite-takes-a-gust',
    title: 'The kite takes a gust',
    sheet: KITE_SHEET,
    transparent: true,
    // The tail lies under the kite, where it is tied on.
    levels: [tail, kite] as unknown as readonly LevelPlan<never>[],
  },
];

/** The drawings of a level as posed, slips included. */
export function posesOf<P extends object>(level: LevelPlan<P>): Posed<P>[] {
  return poseAll(level.timing, level.inbetweenOf, level.slip);
}

function planted(
  shot: ShotPlan,
  level: string,
  drawing: string,
  mischief: Mischief,
  seen: { box?: Box; lengthPx?: number; runs: readonly Run[] },
): PlantedFault {
  const ids = mischief.of ?? [];
  const box =
    seen.box ??
    boxOf((ids.length > 0 ? ids.flatMap((id) => runsOf(seen.runs, id)) : seen.runs).flatMap((r) => r.path));
  return {
    shot: shot.folder,
    level,
    drawing,
    check: mischief.check,
    ...(mischief.kind ? { kind: mischief.kind } : {}),
    bbox: box,
    amount: mischief.amount ?? seen.lengthPx ?? mischief.specks?.length ?? 0,
    unit: mischief.unit,
    what: mischief.what,
    ...(mischief.alsoSeenBy ? { alsoSeenBy: mischief.alsoSeenBy } : {}),
  };
}

function drawClean<P extends object>(
  shot: ShotPlan,
  level: LevelPlan<P>,
  { label, pose }: Posed<P>,
  faults: PlantedFault[],
): Inked {
  const mischief = level.mischief[label];
  const scene = level.draw(pose, 1 + (mischief?.swell ?? 0));
  let seen: { box?: Box; lengthPx?: number; runs: readonly Run[] } = { runs: [] };
  const ink = cleanInk(
    scene,
    shot.sheet,
    WEIGHT_PX * (1 + (mischief?.heavier ?? 0)),
    seedOf(shot.folder, level.name, label, 'clean'),
    (runs) => {
      const changed = mischief?.lines?.(runs);
      seen = changed ?? { runs };
      return changed?.runs ?? runs;
    },
  );
  if (mischief) {
    if (mischief.specks) seen = { ...seen, box: addSpecks(ink, mischief.specks) };
    faults.push(planted(shot, level.name, label, mischief, seen));
  }
  return ink;
}

/** What `shot.json` says of a shot: see its JSON Schema. */
export function shotJson(shot: ShotPlan): object {
  return {
    // The app's and the studio server's copy are one shot.
    id: `sample-${shot.folder}`,
    title: shot.title,
    fps: 24,
    levels: shot.levels.map((level) => {
      const drawings = posesOf(level);
      return {
        name: level.name,
        drawings: drawings.map(({ label, role, chart }) => ({
          label,
          role,
          ...(chart ? { chart: { ...chart, fraction: Math.round(chart.fraction * 1e4) / 1e4 } } : {}),
        })),
        exposures: drawings.map(({ label, length }) => ({ drawing: label, frame: Number(label), length })),
      };
    }),
  };
}

/** The drawings in which nothing was planted. */
function faultless(faults: readonly PlantedFault[]): object[] {
  return SHOTS.flatMap(({ folder, levels }) =>
    levels.flatMap((level) =>
      level.timing
        .map(({ label }) => ({ shot: folder, level: level.name, drawing: label }))
        .filter(
          (d) => !faults.some((f) => f.shot === d.shot && f.level === d.level && f.drawing === d.drawing),
        ),
    ),
  );
}

/** Indented JSON, with lists of plain values on one line. */
export function json(value: unknown): Uint8Array {
  const text = JSON.stringify(value, null, 2).replace(
    /\[\s+([^[\]{}]+?)\s+\]/g,
    (_, inner: string) => `[${inner.replace(/,\s+/g, ', ')}]`,
  );
  return new TextEncoder().encode(`${text}\n`);
}

/** Every file of the sample shots, one at a time; the list of planted faults comes last. Pictures can be left out. */
export function* sampleFiles(only: (path: string) => boolean = () => true): Generator<ShotFile> {
  const faults: PlantedFault[] = [];
  for (const shot of SHOTS) {
    yield { path: `${shot.folder}/shot.json`, bytes: json(shotJson(shot)) };
    for (const level of shot.levels) {
      const folder = level.name ? `${shot.folder}/${level.name}` : shot.folder;
      const drawings = posesOf(level);
      for (const drawing of drawings) {
        const name = `${drawing.label.padStart(4, '0')}.png`;
        const wanted = only(`${folder}/clean/${name}`);
        if (wanted || (level.mischief[drawing.label] && only('planted-faults.json'))) {
          const clean = drawClean(shot, level, drawing, faults);
          if (wanted) yield { path: `${folder}/clean/${name}`, bytes: cleanPng(clean, shot.transparent) };
        }
        if (!only(`${folder}/rough/${name}`)) continue;
        const scene: Scene = level.draw(drawing.pose);
        const { width, height } = shot.sheet;
        const noted = {
          ...scene,
          construction: [...scene.construction, ...notation(drawing, drawings, width, height)],
        };
        yield {
          path: `${folder}/rough/${name}`,
          bytes: roughPng(noted, shot.sheet, seedOf(shot.folder, level.name, drawing.label, 'rough')),
        };
      }
    }
  }
  if (only('planted-faults.json'))
    yield { path: 'planted-faults.json', bytes: json({ faults, faultless: faultless(faults) }) };
}
