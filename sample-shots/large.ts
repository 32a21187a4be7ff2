/**
 * Large shots for tests and benches: as many drawings as asked for, at any size, one at a time.
 * At a prompt: `npx tsx sample-shots/large.ts FOLDER [--width 4096] [--height 2160] [--count 100] [--seed 1]
 * [--faults]`.
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { KITE_TIMING } from './kite/flight.ts';
import { drawKite } from './kite/kite.ts';
import { cleanInk, cleanPng, roughPng, type Sheet } from './paper/drawing.ts';
import { lerp } from './paper/geometry.ts';
import { random, seedOf } from './paper/random.ts';
import { moved, type Run, type Scene } from './paper/scene.ts';
import { between, breakdown, inbetween, key, poseAll, type Timed } from './paper/timing.ts';
import { addSpecks, type Box, openGap, type PlantedFault } from './planted.ts';
import { json, type ShotFile } from './shots.ts';
import { WENNA_KEYS } from './wenna/acting.ts';
import { drawWenna, inbetweenWenna } from './wenna/figure.ts';
import type { Pose } from './wenna/pose.ts';

export interface LargeShot {
  /** Image px. The drawing fills the height. */
  readonly width?: number;
  readonly height?: number;
  /** How many drawings, each with rough and clean. */
  readonly count?: number;
  readonly seed?: number;
  /** Plants a heavier line, a gap or a speck in every seventh drawing, and lists them. */
  readonly faults?: boolean;
}

/** Drawings from key to key: halves of halves lie between. */
const KEY_EVERY = 8;

/** Keys walk across the sheet, from pose to pose. The last drawing is a key. */
function timing(count: number, room: number, seed: number): Timed<Pose>[] {
  const next = random(seed);
  const out: Timed<Pose>[] = [];
  const isKey = (i: number): boolean => i % KEY_EVERY === 0 || i === count - 1;
  const label = (i: number): string => String(i + 1);
  let last = -1;
  for (let i = 0; i < count; i++) {
    if (isKey(i)) {
      // Never the same pose twice in a row.
      last = (last + 1 + Math.floor(next() * (WENNA_KEYS.length - 1))) % WENNA_KEYS.length;
      const pose = WENNA_KEYS[last]!;
      const dx = lerp(0, room, (i / Math.max(1, count - 1)) * 0.8 + next() * 0.2);
      out.push(
        key(label(i), 2, {
          ...pose,
          hemX: pose.hemX + dx,
          footLeft: pose.footLeft + dx,
          footRight: pose.footRight + dx,
        }),
      );
      continue;
    }
    const from = i - (i % KEY_EVERY);
    const to = Math.min(from + KEY_EVERY, count - 1);
    let [a, b] = [from, to];
    let half = Math.floor((a + b) / 2);
    while (half !== i) {
      if (i < half) b = half;
      else a = half;
      half = Math.floor((a + b) / 2);
    }
    const chart = [label(a), label(b), (i - a) / (b - a)] as const;
    out.push(a === from && b === to ? breakdown(label(i), 2, chart, {}) : inbetween(label(i), 2, chart));
  }
  return out;
}

/** Every file of a large shot, one at a time and memory-lean: `shot.json`, then clean and rough of each drawing. */
export function* largeShot(options: LargeShot = {}): Generator<ShotFile> {
  const { width = 4096, height = 2160, count = 100, seed = 1, faults = false } = options;
  const scale = height / 1152;
  const sheet: Sheet = { width, height, scale };
  const weightPx = 5 * scale;
  const drawings = poseAll(timing(count, Math.max(0, width / scale - 1640), seed), inbetweenWenna);
  const kite = poseAll(KITE_TIMING);
  yield {
    path: 'shot.json',
    bytes: json({
      title: `Large shot ${seed}`,
      fps: 24,
      levels: [
        {
          name: '',
          drawings: drawings.map(({ label, role, chart }) => ({ label, role, ...(chart ? { chart } : {}) })),
          exposures: drawings.map(({ label, length }, i) => ({ drawing: label, frame: 1 + i * 2, length })),
        },
      ],
    }),
  };
  const planted: PlantedFault[] = [];
  for (const [i, { label, pose }] of drawings.entries()) {
    const u = (i / KEY_EVERY) % (kite.length - 1);
    const flown = between(kite[Math.floor(u)]!.pose, kite[Math.floor(u) + 1]!.pose, u % 1);
    const wenna = moved(drawWenna(pose), 'wenna-', scale, 0, 0);
    const aloft = moved(drawKite(flown), 'kite-', scale * 0.9, -280 * scale, 60 * scale);
    const scene: Scene = {
      items: [...aloft.items, ...wenna.items],
      construction: [...aloft.construction, ...wenna.construction],
    };
    const turn = faults && i % 7 === 3 ? ((i - 3) / 7) % 3 : -1;
    let bbox: Box | undefined;
    const open = (runs: Run[]): Run[] => {
      const opened = openGap(runs, 'kite-sail', 0.2, 8, weightPx);
      bbox = opened.box;
      return opened.runs;
    };
    const heavier = turn === 0 ? 1.3 : 1;
    const ink = cleanInk(
      scene,
      sheet,
      weightPx * heavier,
      seedOf(seed, label),
      turn === 1 ? open : undefined,
    );
    if (turn === 2) bbox = addSpecks(ink, [[width * 0.9, height * 0.12, 2.4]]);
    const place = { shot: '', level: '', drawing: label };
    if (turn === 0)
      planted.push({
        ...place,
        check: 'weight',
        bbox: [0, 0, width, height],
        amount: 0.3,
        unit: 'share',
        what: 'The whole drawing is inked 30 % too heavy.',
      });
    if (turn === 1 && bbox)
      planted.push({
        ...place,
        check: 'leaks',
        bbox,
        amount: 8,
        unit: 'px',
        what: "The kite's sail opens 8 px.",
      });
    if (turn === 2 && bbox)
      planted.push({ ...place, check: 'specks', bbox, amount: 1, unit: 'count', what: 'A speck.' });
    const name = `${label.padStart(4, '0')}.png`;
    yield { path: `clean/${name}`, bytes: cleanPng(ink, false, 6) };
    yield { path: `rough/${name}`, bytes: roughPng(scene, sheet, seedOf(seed, label, 'rough'), 6) };
  }
  if (faults) yield { path: 'planted-faults.json', bytes: json({ faults: planted }) };
}

if (process.argv[1] && fileURLToPath(import.meta.url) === process.argv[1]) {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: {
      width: { type: 'string' },
      height: { type: 'string' },
      count: { type: 'string' },
      seed: { type: 'string' },
      faults: { type: 'boolean' },
    },
  });
  const folder = positionals[0];
  if (!folder) {
    console.error('Say the folder to write to: npx tsx sample-shots/large.ts FOLDER');
    process.exit(2);
  }
  const shot: LargeShot = {
    width: Number(values.width ?? 4096),
    height: Number(values.height ?? 2160),
    count: Number(values.count ?? 100),
    seed: Number(values.seed ?? 1),
    faults: values.faults ?? false,
  };
  let total = 0;
  for (const { path, bytes } of largeShot(shot)) {
    const target = join(folder, path);
    mkdirSync(dirname(target), { recursive: true });
    writeFileSync(target, bytes);
    total += bytes.length;
  }
  console.log(`${shot.count} drawings, ${(total / 1e6).toFixed(1)} MB, in ${folder}`);
}
