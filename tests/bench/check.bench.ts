/**
 * A shot of 100 drawings, rough and clean, checked as the command line does, on one worker and on two. At
 * 1280 × 675 it takes a minute or two; the work per drawing is the same, only smaller. By turns, best of two, so
 * that a busy moment of the machine does not decide.
 *
 * Two workers are never twice as fast as one: they share the memory, the clock and, in a virtual machine, often one
 * core. So in the same turns two plain loops are run on one thread and on two, one that only reckons and one that
 * only reads memory. A check does some of both; what these reach is what the machine lets it reach.
 */
import { existsSync, mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { Worker } from 'node:worker_threads';
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
const LOOP_TURNS = 3;

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

/** Loops of about a third of a second, sent `times` and answered when all are done. */
const LOOPS = {
  reckoning: `
    let x = 0.3;
    const loop = () => { for (let i = 0; i < 6e7; i++) x = 3.7 * x * (1 - x); return x; };`,
  // 64 MB, more than a processor keeps near itself.
  reading: `
    const values = new Float64Array(8 << 20).fill(1);
    const loop = () => { let sum = 0; for (let r = 0; r < 160; r++) for (let i = 0; i < values.length; i += 4) sum += values[i]; return sum; };`,
};

/** Threads that run a loop when asked to, warm already. */
async function loopThreads(code: string) {
  const start = () =>
    new Worker(
      `const { parentPort } = require('node:worker_threads');${code}
      parentPort.on('message', (times) => { let last; for (let k = 0; k < times; k++) last = loop(); parentPort.postMessage(last); });`,
      { eval: true },
    );
  const threads = [start(), start()] as const;
  const ask = (thread: Worker, times: number) =>
    new Promise<void>((resolve, reject) => {
      thread.once('error', reject);
      thread.once('message', () => {
        thread.off('error', reject);
        resolve();
      });
      thread.postMessage(times);
    });
  await Promise.all(threads.map((thread) => ask(thread, 1)));
  return {
    /** Two loops on one thread, then one on each of two; ms. */
    async time(): Promise<[one: number, two: number]> {
      const begun = performance.now();
      await ask(threads[0], 2);
      const between = performance.now();
      await Promise.all(threads.map((thread) => ask(thread, 1)));
      return [between - begun, performance.now() - between];
    },
    end: () => Promise.all(threads.map((thread) => thread.terminate())),
  };
}

/** The shortest of each, over turns taken between the others. */
function keepBest(best: [one: number, two: number], [one, two]: readonly [number, number]): void {
  best[0] = Math.min(best[0], one);
  best[1] = Math.min(best[1], two);
}

export async function rows(): Promise<Row[]> {
  const disk = await readShot(folderOf());
  const bestMs: [one: number, two: number] = [Infinity, Infinity];
  const loopMs = { reckoning: [Infinity, Infinity], reading: [Infinity, Infinity] } as Record<
    keyof typeof LOOPS,
    [number, number]
  >;
  const timeLoops = async () => {
    for (const kind of ['reckoning', 'reading'] as const) {
      const threads = await loopThreads(LOOPS[kind]);
      for (let turn = 0; turn < LOOP_TURNS; turn++) keepBest(loopMs[kind], await threads.time());
      await threads.end();
    }
  };
  await timeLoops();
  for (let round = 0; round < ROUNDS; round++) {
    for (const workers of [1, 2] as const) {
      const start = performance.now();
      const { failed } = await measure(disk, { workers, tolerances: defaultTolerances, quiet: true });
      if (failed.size > 0) throw new Error([...failed.values()][0]);
      bestMs[workers - 1] = Math.min(bestMs[workers - 1]!, performance.now() - start);
    }
    await timeLoops();
  }
  const gain = ([one, two]: readonly [number, number]) => one / two;
  return [
    {
      name: `check ${DRAWINGS} drawings of ${WIDTH}×${HEIGHT}: two workers against one`,
      value: gain(bestMs),
      unit: '×',
      limit: 1.8,
      atLeast: true,
    },
    {
      name: 'two threads against one: a loop that only reckons',
      value: gain(loopMs.reckoning),
      unit: '×',
    },
    {
      name: 'two threads against one: a loop that only reads memory',
      value: gain(loopMs.reading),
      unit: '×',
    },
    { name: 'check 100 drawings: one worker', value: bestMs[0] / 1000, unit: 's' },
    { name: 'check 100 drawings: two workers', value: bestMs[1] / 1000, unit: 's' },
  ];
}
