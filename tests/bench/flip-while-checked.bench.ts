/**
 * What a person waits for at a step while a whole shot is checked: drawings of 4096 × 2160, rough and clean, taken in
 * and opened as anyone would, and then flipped by the keys: five steps, a look of over half a second, five steps. In
 * every look measuring begins again, so that every run of steps meets it at work. By turns with a page of the same shelf
 * that cannot load the checks: what is limited is how much later a step is, against that page. Nothing is kept from
 * before, and the page is left before all is measured, so that the bench does not wait for that.
 *
 * A step lasts from its key until the frame after the one in which its number stands on the paper. What bounds it: a
 * page without a graphics card paints with the same cores that measure, so a worker that goes on under the hand takes a
 * core from every step. Measuring is told to pause by the step itself, and stands still some tens of ms later: the first
 * step after a look meets that, the others should not.
 */
import { setTimeout as delay } from 'node:timers/promises';
import type { Browser, BrowserContext, Page } from 'playwright';
import { onPaper } from '../browser/desk-app.ts';
import { type AppServer, appServer } from '../support/app-server.ts';
import { launch, openTablet } from '../support/browser.ts';
import { largeFolder } from '../support/large-folder.ts';
import type { Row } from './row.ts';

/** The one that the bench of intake draws, too: drawing it takes minutes. */
const SEED = 1;
export const seeds = [SEED];
const DRAWINGS = 100;
const ROUNDS = 3;
const RUNS = 12;
const STEPS_A_RUN = 5;
const LOOK_MS = 900;

export async function rows(): Promise<Row[]> {
  const { folder } = largeFolder(DRAWINGS, SEED);
  const [browser, server] = await Promise.all([launch(), appServer()]);
  try {
    const tablet = await takenIn(browser, server, folder);
    const bare: number[] = [];
    const checked: number[] = [];
    for (let round = 0; round < ROUNDS; round++) {
      bare.push(...(await flipped(tablet, server, false)));
      checked.push(...(await flipped(tablet, server, true)));
    }
    const told = (name: string, of: readonly number[]): Row[] => [
      { name: `step, ${name}: median`, value: quantile(of, 0.5), unit: 'ms' },
      { name: `step, ${name}: nine in ten under`, value: quantile(of, 0.9), unit: 'ms' },
      { name: `step, ${name}: longest`, value: Math.max(...of), unit: 'ms' },
      {
        name: `step, ${name}: over 100 ms`,
        value: (100 * of.filter((ms) => ms > 100).length) / of.length,
        unit: '%',
      },
    ];
    return [
      ...told('nothing measured', bare),
      ...told('while measured', checked),
      {
        name: 'step, while measured against nothing measured: nine in ten',
        value: quantile(checked, 0.9) / quantile(bare, 0.9),
        unit: '×',
        limit: 1.5,
      },
    ];
  } finally {
    await browser.close();
    await server.stop();
  }
}

/** A tablet whose shelf holds the shot, taken in from its folder. */
async function takenIn(browser: Browser, server: AppServer, folder: string): Promise<BrowserContext> {
  const tablet = await openTablet(browser, 'landscape');
  const page = await tablet.newPage();
  await page.route('**/samples/index.json', (route) => route.fulfill({ json: { shots: [] } }));
  await page.goto(server.url);
  await page.locator('[data-pick=folder]').first().setInputFiles(folder);
  await page.getByRole('link', { name: /^Open/ }).waitFor({ timeout: 600_000 });
  await page.close();
  return tablet;
}

async function flipped(tablet: BrowserContext, server: AppServer, measuring: boolean): Promise<number[]> {
  const page = await tablet.newPage();
  await page.route('**/samples/index.json', (route) => route.fulfill({ json: { shots: [] } }));
  if (!measuring) await page.route(/checks-room/, (route) => route.abort());
  await page.goto(server.url);
  await page.getByRole('heading', { name: /Large shot/ }).tap();
  await onPaper(page, '1');
  const workers = (): boolean => page.workers().some((worker) => /checks/.test(worker.url()));
  if (measuring) await begun(workers);
  else if (workers()) throw new Error('The page that should not measure does.');
  const ms = await stepsMs(page);
  await page.close();
  return ms;
}

async function begun(isThere: () => boolean): Promise<void> {
  for (let waits = 0; !isThere(); waits++) {
    if (waits > 600) throw new Error('Nothing is measured.');
    await delay(100);
  }
}

const stepsMs = (page: Page): Promise<number[]> =>
  page.evaluate(
    async ({ runs, steps, lookMs }) => {
      const numberOf = () => document.querySelector<HTMLElement>('.number')?.dataset['shown'];
      const frame = () => new Promise((done) => requestAnimationFrame(done));
      const took: number[] = [];
      for (let run = 0; run < runs; run++) {
        await new Promise((done) => setTimeout(done, lookMs));
        for (let step = 0; step < steps; step++) {
          const before = numberOf();
          const begun = performance.now();
          // There and back, so that it never stands at an end.
          const key = run % 2 === 0 ? 'ArrowRight' : 'ArrowLeft';
          document.body.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }));
          while (numberOf() === before && performance.now() - begun < 5000) await frame();
          await frame();
          took.push(performance.now() - begun);
          await new Promise((done) => setTimeout(done, 80));
        }
      }
      return took;
    },
    { runs: RUNS, steps: STEPS_A_RUN, lookMs: LOOK_MS },
  );

function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
}
