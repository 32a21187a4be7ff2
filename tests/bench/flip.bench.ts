/**
 * One warm flip of a 4096×2160 drawing at 1180×820@2, against a bare page that draws the same drawing as a
 * full-size decoded bitmap to a canvas of the same size with `drawImage`.
 *
 * Method: both pages in one browser with the same flags. Either page is timed on its main thread from asking for
 * the flip until one of its pixels can be read back: drawing calls only record, and without the wait a page
 * that leaves heavy work to the graphics process would seem fast. Rounds take turns and the median of all flips is
 * taken, so that a busy machine troubles both alike. Told beside it: the main thread's own processor time per
 * flip (`TaskDuration` in thread time), which also has the browser's work for one frame in it. Then each of the six ways
 * of seeing against the plain one. Without a graphics card all of it is bound by filling the pixels of the screen.
 */
import type { Page } from 'playwright';
import { median } from '../../src/line/statistics.ts';
import type { Compare } from '../../src/stage/types.ts';
import { launch } from '../support/browser.ts';
import { mainThreadMeter } from '../support/main-thread.ts';
import { callModule, modulePage } from '../support/module-page.ts';
import type { Row } from './row.ts';

const SEED = 411;
export const seeds = [SEED];
const MODULE = '/tests/support/stage-bench.ts';
const ROUNDS = 5;
const FLIPS = 12;
/** All ways of seeing, the plain one first. */
const WAYS: readonly Compare[] = [
  { way: 'clean' },
  { way: 'rough' },
  { way: 'underlay', opacity: 0.06 },
  { way: 'side by side' },
  { way: 'wipe', at: 0.5 },
  { way: 'difference' },
];

export async function rows(): Promise<Row[]> {
  const browser = await launch();
  const tab = await modulePage(browser, 'landscape');
  try {
    await callModule(tab.page, MODULE, 'keepLargeShot', 2, SEED);
    const ours = await tab.another();
    await callModule(ours, MODULE, 'openWarm');
    await callModule(ours, MODULE, 'flipWarm', FLIPS);
    const bare = await tab.another();
    await callModule(bare, MODULE, 'openBare', SEED);
    await callModule(bare, MODULE, 'flipBare', FLIPS);
    const [warm, plain] = [await flipsOf(ours, 'flipWarm'), await flipsOf(bare, 'flipBare')];
    for (let round = 0; round < ROUNDS; round++) for (const page of [warm, plain]) await page.more();
    const [flip, reference] = [median(warm.flips), median(plain.flips)];
    const ways = await flipsByWay(ours);
    return [
      { name: 'flip: one warm flip, until its pixels are there', value: flip, unit: 'ms' },
      { name: 'flip: drawImage of the full-size bitmap, the same', value: reference, unit: 'ms' },
      { name: 'flip: against drawImage', value: flip / reference, unit: '×', limit: 0.5 },
      { name: 'flip: processor time of the main thread', value: median(warm.cpu), unit: 'ms' },
      { name: 'flip: processor time of the main thread, drawImage', value: median(plain.cpu), unit: 'ms' },
      ...WAYS.map(({ way }, k) => ({
        name: `flip: ${way} against the clean drawing alone`,
        value: median(ways[k]!) / median(ways[0]!),
        unit: '×',
        ...(way === 'underlay' && { limit: 2 }),
      })).slice(1),
    ];
  } finally {
    await tab.close();
    await browser.close();
  }
}

/** ms of flips in each of `WAYS`, in rounds by turns. */
async function flipsByWay(page: Page): Promise<number[][]> {
  const flips = WAYS.map((): number[] => []);
  await page.bringToFront();
  for (let round = 0; round < ROUNDS; round++)
    for (const [k, way] of WAYS.entries()) {
      const of = await callModule<number[]>(page, MODULE, 'flipWarm', FLIPS, way);
      // The first round warms up.
      if (round > 0) flips[k]!.push(...of);
    }
  return flips;
}

/** A page's flips so far, ms, and its main thread's processor time a flip, round by round. */
async function flipsOf(page: Page, run: string) {
  const taskMs = await mainThreadMeter(page);
  const flips: number[] = [];
  const cpu: number[] = [];
  const more = async (): Promise<void> => {
    await page.bringToFront();
    const before = await taskMs();
    flips.push(...(await callModule<number[]>(page, MODULE, run, FLIPS)));
    cpu.push(((await taskMs()) - before) / FLIPS);
  };
  return { flips, cpu, more };
}
