/**
 * Intake of a hundred 4096×2160 pairs onto the tablet's shelf, against merely decoding the same files with
 * `createImageBitmap`, in the same page, as many at once as intake has decoders.
 */
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { launch, until } from '../support/browser.ts';
import type { IntakeHarness } from '../support/intake-harness.ts';
import { largeFolder } from '../support/large-folder.ts';
import { modulePage } from '../support/module-page.ts';
import type { Row } from './row.ts';

type InPage = typeof globalThis & { intake: IntakeHarness };

const seed = 1;
export const seeds = [seed];

export async function rows(count = 100): Promise<Row[]> {
  const { folder, path } = largeFolder(count, seed);
  const paths = [
    'shot.json',
    ...['rough', 'clean'].flatMap((layer) =>
      readdirSync(join(folder, layer)).map((name) => `${layer}/${name}`),
    ),
  ];
  const browser = await launch();
  const tab = await modulePage(browser);
  try {
    const { page } = tab;
    await page.addScriptTag({ type: 'module', url: '/tests/support/intake-harness.ts' });
    await until(page, () => 'intake' in globalThis);
    await page.evaluate(
      (list) => (globalThis as InPage).intake.fetchFiles(list),
      paths.map((inner) => ({ url: `/${path}/${inner}`, path: `large/${inner}` })),
    );
    const measured = await page.evaluate(() => (globalThis as InPage).intake.measure());
    if (measured.added !== 2 * count)
      throw new Error(`${measured.added} of ${2 * count} pictures were taken in.`);
    const { intakeMs, decodeMs, decodeStraightMs, againMs } = measured;
    return [
      {
        name: `intake of ${count} 4K pairs / decoding them`,
        value: intakeMs / decodeMs,
        unit: '×',
        limit: 1.5,
      },
      {
        name: 'the same / decoding them without colour management',
        value: intakeMs / decodeStraightMs,
        unit: '×',
      },
      { name: 'intake of one 4K pair', value: intakeMs / count, unit: 'ms' },
      { name: 'taking the same files in again / decoding them', value: againMs / decodeMs, unit: '×' },
    ];
  } finally {
    await tab.close();
    await browser.close();
  }
}
