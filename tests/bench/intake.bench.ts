/**
 * Intake of a hundred 4096×2160 pairs onto the tablet's shelf, against merely decoding the same files with
 * `createImageBitmap`, in the same page, as many at once as intake has decoders. Three rounds, each on an
 * empty shelf, and the middle one told: decoding alone differs by a third from minute to minute here.
 */
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { median } from '../../src/line/statistics.ts';
import { launch, until } from '../support/browser.ts';
import type { IntakeHarness } from '../support/intake-harness.ts';
import { largeFolder } from '../support/large-folder.ts';
import { modulePage } from '../support/module-page.ts';
import type { Row } from './row.ts';

type InPage = typeof globalThis & { intake: IntakeHarness };

type Measured = Awaited<ReturnType<IntakeHarness['measure']>> &
  Awaited<ReturnType<IntakeHarness['measureOn']>>;

const seed = 1;
const rounds = 3;
export const seeds = [seed];

export async function rows(count = 100): Promise<Row[]> {
  const { folder, path } = largeFolder(count, seed);
  const paths = [
    'shot.json',
    ...['rough', 'clean'].flatMap((layer) =>
      readdirSync(join(folder, layer)).map((name) => `${layer}/${name}`),
    ),
  ];
  const files = paths.map((inner) => ({ url: `/${path}/${inner}`, path: `large/${inner}` }));
  const measured: Measured[] = [];
  for (let round = 0; round < rounds; round++) measured.push(await measureOnce(files, count));
  const overDecoding = (pick: (one: Measured) => number): number =>
    median(measured.map((one) => pick(one) / one.decodeMs));
  return [
    {
      name: `intake of ${count} 4K pairs / decoding them`,
      value: overDecoding(({ intakeMs }) => intakeMs),
      unit: '×',
      limit: 1.5,
    },
    {
      name: 'the same / decoding them without colour management',
      value: median(measured.map((one) => one.intakeMs / one.decodeStraightMs)),
      unit: '×',
    },
    {
      name: 'intake of one 4K pair',
      value: median(measured.map(({ intakeMs }) => intakeMs / count)),
      unit: 'ms',
    },
    {
      name: 'taking the same files in again / decoding them',
      value: overDecoding(({ againMs }) => againMs),
      unit: '×',
    },
  ];
}

/** In a browser of its own, whose shelf is empty. */
async function measureOnce(
  files: readonly { readonly url: string; readonly path: string }[],
  count: number,
): Promise<Measured> {
  const browser = await launch();
  const tab = await modulePage(browser);
  try {
    const { page } = tab;
    await page.addScriptTag({ type: 'module', url: '/tests/support/intake-harness.ts' });
    await until(page, () => 'intake' in globalThis);
    await page.evaluate((list) => (globalThis as InPage).intake.fetchFiles(list), files);
    const first = await page.evaluate(() => (globalThis as InPage).intake.measure());
    if (first.added !== 2 * count) throw new Error(`${first.added} of ${2 * count} pictures were taken in.`);
    return { ...first, ...(await page.evaluate(() => (globalThis as InPage).intake.measureOn())) };
  } finally {
    await tab.close();
    await browser.close();
  }
}
