/**
 * A shot of 100 drawings, rough and clean, checked as the command line does, on one worker and on two. At
 * 1280 × 675 it takes a minute or two; the work per drawing is the same, only smaller. By turns, best of two, so
 * that a busy moment of the machine does not decide.
 */
import { existsSync, mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { largeShot } from '../../sample-shots/large.ts';
import { defaultTolerances } from '../../src/check/tolerances.ts';
import { measure } from '../../src/cli/check.ts';
import { readShot } from '../../src/intake/node/read-shot.ts';
import { ROOT } from '../support/built-app.ts';
import type { Row } from './row.ts';

const SEED = 1;
export const seeds = [SEED];
const DRAWINGS = 100;
const WIDTH = 1280;
const HEIGHT = 675;
const ROUNDS = 2;

/** Drawn once and kept in `dist/`. */
function folderOf(): string {
  const folder = join(ROOT, `dist/bench-shots/check-${DRAWINGS}-${WIDTH}-${SEED}`);
  if (existsSync(folder)) return folder;
  const aside = `${folder}.${process.pid}`;
  for (const { path, bytes } of largeShot({ count: DRAWINGS, width: WIDTH, height: HEIGHT, seed: SEED })) {
    const place = join(aside, path);
    mkdirSync(dirname(place), { recursive: true });
    writeFileSync(place, bytes);
  }
  renameSync(aside, folder);
  return folder;
}

export async function rows(): Promise<Row[]> {
  const disk = await readShot(folderOf());
  const bestMs: [one: number, two: number] = [Infinity, Infinity];
  for (let round = 0; round < ROUNDS; round++) {
    for (const workers of [1, 2] as const) {
      const start = performance.now();
      const { failed } = await measure(disk, { workers, tolerances: defaultTolerances, quiet: true });
      if (failed.size > 0) throw new Error([...failed.values()][0]);
      bestMs[workers - 1] = Math.min(bestMs[workers - 1]!, performance.now() - start);
    }
  }
  return [
    {
      name: `check ${DRAWINGS} drawings of ${WIDTH}×${HEIGHT}: two workers against one`,
      value: bestMs[0] / bestMs[1],
      unit: '×',
      limit: 1.8,
      atLeast: true,
    },
    { name: 'check 100 drawings: one worker', value: bestMs[0] / 1000, unit: 's' },
    { name: 'check 100 drawings: two workers', value: bestMs[1] / 1000, unit: 's' },
  ];
}
