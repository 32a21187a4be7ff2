/**
 * What an open desk takes from a battery: the processor time of the whole browser, and of the page's main thread, in ten
 * seconds of play at 24 frames a second on twos of a 2K shot, and in ten seconds in which nobody touches anything, once
 * the shot is checked. In shares of one core, so that the figure of play hangs on the machine and is only told; a desk
 * at rest has a limit, as it has nothing to do. What bounds play here: filling the screen's pixels in software.
 */
import { execFileSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { setTimeout as delay } from 'node:timers/promises';
import type { CDPSession, Page } from 'playwright';
import { checked, openChecks } from '../browser/checks-app.ts';
import { onPaper } from '../browser/desk-app.ts';
import { appServer } from '../support/app-server.ts';
import { launch, openTablet } from '../support/browser.ts';
import type { Row } from './row.ts';

const SECONDS = 10;
/** The shipped sample, 1920 × 1080 at 24 on twos. */
const TITLE = /Wenna/;

export async function rows(): Promise<Row[]> {
  if (process.platform !== 'linux') throw new Error('Processor time is read from /proc here.');
  const [browser, server] = await Promise.all([launch(), appServer()]);
  try {
    const tablet = await openTablet(browser, 'landscape');
    const page = await tablet.newPage();
    await page.goto(server.url);
    await page.getByRole('heading', { name: TITLE }).tap();
    await onPaper(page, '1');
    await openChecks(page);
    await checked(page);
    await page.getByRole('button', { name: /^Checks/ }).tap();
    const hand = await tablet.newCDPSession(page);
    await hand.send('Performance.enable', { timeDomain: 'threadTicks' });
    // What follows the last measure (writing it down) is over by then.
    await delay(3000);
    const still = await spent(hand);
    await page.keyboard.press('Space');
    await playing(page);
    const play = await spent(hand);
    return [
      { name: 'desk at rest: processor time', value: still.all, unit: 'of one core', limit: 0.05 },
      { name: 'desk at rest: main thread', value: still.mainThread, unit: 'of one core', limit: 0.02 },
      { name: 'play, 2K at 24 on twos: processor time', value: play.all, unit: 'of one core' },
      {
        name: 'play, 2K at 24 on twos: main thread',
        value: play.mainThread,
        unit: 'of one core',
        limit: 0.25,
      },
    ];
  } finally {
    await browser.close();
    await server.stop();
  }
}

async function playing(page: Page): Promise<void> {
  const frame = () => page.locator('.number').getAttribute('data-frame');
  const from = await frame();
  for (let waits = 0; (await frame()) === from; waits++) {
    if (waits > 300) throw new Error('It does not play.');
    await delay(100);
  }
}

async function spent(hand: CDPSession): Promise<{ readonly all: number; readonly mainThread: number }> {
  const mainSeconds = async (): Promise<number> => {
    const { metrics } = await hand.send('Performance.getMetrics');
    return metrics.find(({ name }) => name === 'TaskDuration')?.value ?? Number.NaN;
  };
  const [allBefore, mainBefore] = [browserSeconds(), await mainSeconds()];
  await delay(1000 * SECONDS);
  const [allAfter, mainAfter] = [browserSeconds(), await mainSeconds()];
  return { all: (allAfter - allBefore) / SECONDS, mainThread: (mainAfter - mainBefore) / SECONDS };
}

/** Of every process this one has started, and theirs: `stat` of proc(5), user and system time. */
function browserSeconds(): number {
  const ticksASecond = Number(execFileSync('getconf', ['CLK_TCK'], { encoding: 'utf8' }));
  const stats = readdirSync('/proc')
    .filter((name) => /^\d+$/.test(name))
    .flatMap((name) => {
      try {
        const text = readFileSync(`/proc/${name}/stat`, 'utf8');
        // The name in brackets may hold spaces.
        const fields = text.slice(text.lastIndexOf(')') + 2).split(' ');
        return [
          { id: Number(name), parent: Number(fields[1]), ticks: Number(fields[11]) + Number(fields[12]) },
        ];
      } catch {
        // It ended between the two looks.
        return [];
      }
    });
  const ours = new Set([process.pid]);
  for (let grew = true; grew; ) {
    const before = ours.size;
    for (const { id, parent } of stats) if (ours.has(parent)) ours.add(id);
    grew = ours.size > before;
  }
  ours.delete(process.pid);
  return stats.reduce((sum, { id, ticks }) => sum + (ours.has(id) ? ticks : 0), 0) / ticksASecond;
}
