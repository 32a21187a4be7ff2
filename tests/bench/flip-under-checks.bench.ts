/**
 * What measuring in the background costs the hand that flips: the built app with the sample shot of Wenna (22 pairs of
 * 2048×1152), flipped by the keys once a frame for some seconds. The same page twice: with the checks' code kept
 * from loading, so that nothing measures, and with measuring under way from the first flip on (nothing is kept from
 * before; what the workers are at when the hand begins goes on, and new work waits).
 *
 * Main-thread time is processor time (`TaskDuration` in thread time), so that a busy machine does not count. A step
 * counts as shown when its number stands on the paper at the next look, one frame later; wall time, so
 * both pages are told, and what is limited is their difference.
 */
import { setTimeout as delay } from 'node:timers/promises';
import type { Browser, Page } from 'playwright';
import { checked, openWenna, type WennaApp, wennaApp } from '../browser/checks-app.ts';
import { launch } from '../support/browser.ts';
import { mainThreadMeter } from '../support/main-thread.ts';
import type { Row } from './row.ts';

const ROUNDS = 2;
const STEPS = 180;

interface Flipped {
  readonly cpuMs: number;
  /** Steps whose drawing was on the paper a frame later, 0..1. */
  readonly shown: number;
}

export async function rows(): Promise<Row[]> {
  const [browser, app] = await Promise.all([launch(), wennaApp()]);
  try {
    const without: Flipped[] = [];
    const under: Flipped[] = [];
    let restMs = Number.NaN;
    for (let round = 0; round < ROUNDS; round++) {
      const bare = await open(browser, app, false);
      without.push(await flip(bare));
      await bare.context().close();
      const measuring = await open(browser, app, true);
      under.push(await flip(measuring));
      if (round === ROUNDS - 1) restMs = await costOfTheRest(measuring);
      await measuring.context().close();
    }
    const cpu = (of: readonly Flipped[]): number => mean(of.map(({ cpuMs }) => cpuMs));
    const shown = (of: readonly Flipped[]): number => 100 * mean(of.map((each) => each.shown));
    return [
      { name: 'checks: main thread a flip, nothing measured', value: cpu(without), unit: 'ms' },
      { name: 'checks: main thread a flip, while measuring', value: cpu(under), unit: 'ms' },
      {
        name: 'checks: the second against the first',
        value: cpu(under) / cpu(without),
        unit: '×',
        limit: 1.25,
      },
      { name: 'checks: steps shown, nothing measured', value: shown(without), unit: '%' },
      { name: 'checks: steps shown, while measuring', value: shown(under), unit: '%' },
      {
        name: 'checks: main thread for each drawing measured, hand at rest',
        value: restMs,
        unit: 'ms',
      },
    ];
  } finally {
    await browser.close();
    await app.close();
  }
}

/** A small page, as a browser without a graphics card cannot fill a tablet's screen at every frame. */
async function open(browser: Browser, app: WennaApp, measuring: boolean): Promise<Page> {
  const page = await openWenna(browser, app, 'landscape', async (fresh) => {
    await fresh.setViewportSize({ width: 620, height: 420 });
    if (!measuring) await fresh.route(/checks-room/, (route) => route.abort());
  });
  const workers = (): boolean => page.workers().some((worker) => /checks/.test(worker.url()));
  if (measuring) while (!workers()) await delay(20);
  if (!measuring && workers()) throw new Error('The page that should not measure does.');
  return page;
}

async function flip(page: Page): Promise<Flipped> {
  const taskMs = await mainThreadMeter(page);
  const before = await taskMs();
  const shown = await page.evaluate(async (steps) => {
    const numberOf = () => document.querySelector<HTMLElement>('.number')?.dataset['shown'];
    const frame = () => new Promise((done) => requestAnimationFrame(done));
    let seen = 0;
    let last = numberOf();
    for (let step = 0; step < steps; step++) {
      // There and back over the 22 drawings.
      const forwards = Math.floor(step / 21) % 2 === 0;
      document.body.dispatchEvent(
        new KeyboardEvent('keydown', { key: forwards ? 'ArrowRight' : 'ArrowLeft', bubbles: true }),
      );
      await frame();
      await frame();
      const now = numberOf();
      if (now !== last) seen++;
      last = now;
    }
    return seen / steps;
  }, STEPS);
  return { cpuMs: ((await taskMs()) - before) / STEPS, shown };
}

/** Main-thread time of what is left to measure once the hand rests, a drawing. */
async function costOfTheRest(page: Page): Promise<number> {
  await page.keyboard.press('c');
  const progress = page.locator('.how-far p').first();
  await progress.waitFor();
  const [, done = '0', total = '22'] = /(\d+) of (\d+)/.exec(await progress.innerText()) ?? [];
  const taskMs = await mainThreadMeter(page);
  const before = await taskMs();
  await checked(page);
  return ((await taskMs()) - before) / Math.max(1, Number(total) - Number(done));
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
