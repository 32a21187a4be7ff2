/** A newer build appears on the host: it is offered, waits, and comes when asked. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import type { Browser, Page } from 'playwright';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type AppServer, appServer } from '../support/app-server.ts';
import { launch, openTablet, until } from '../support/browser.ts';
import { namedBuild } from '../support/built-app.ts';
import { nextFrame, pen } from '../support/pointers.ts';
import { type SmallApp, smallApp } from '../support/small-app.ts';
import { keptStrokes, onStage, slant } from './notes-hand.ts';

const builds = mkdtempSync(join(tmpdir(), 'fairpeg-builds-'));
const apps: SmallApp[] = [];
let browser: Browser;
let server: AppServer;
beforeAll(async () => {
  browser = await launch();
  for (const name of ['a', 'b']) {
    await namedBuild(join(builds, name), name);
    apps.push(await smallApp(join(builds, name)));
  }
});
afterAll(async () => {
  await browser.close();
  for (const app of apps) app.remove();
  rmSync(builds, { recursive: true, force: true });
});

const folderOf = (index: number): string => apps[index]?.folder ?? '';
const buildOf = (page: Page): Promise<string | null> =>
  page.locator('meta[name=build]').getAttribute('content');
const offer = (page: Page) => page.getByRole('button', { name: 'Change to it' });
const becomes = (page: Page, name: string): Promise<void> =>
  until(
    page,
    (expected) => document.querySelector('meta[name=build]')?.getAttribute('content') === expected,
    name,
  );

/**
 * A worker that a debugger looks at, as Playwright's does, is not stopped for resting: by hand here, and again when a
 * request has started it meanwhile.
 */
async function givesTurn(page: Page): Promise<void> {
  const hand = await page.context().newCDPSession(page);
  await hand.send('ServiceWorker.enable');
  const waits = () =>
    page.evaluate(async () => ((await navigator.serviceWorker.getRegistration())?.waiting ?? null) !== null);
  while (await waits()) {
    await hand.send('ServiceWorker.stopAllWorkers');
    await delay(500);
  }
  await hand.detach();
}

/** The app of build a, kept by its worker, with build b just put on the host. */
async function withNewerBuild(work: (page: Page) => Promise<void>): Promise<void> {
  server = await appServer({ folder: folderOf(0) });
  const tablet = await openTablet(browser, 'landscape', 1);
  try {
    const page = await tablet.newPage();
    await page.goto(server.url);
    await until(page, () => navigator.serviceWorker.controller?.state === 'activated', undefined);
    await page.getByRole('heading', { name: apps[0]?.title ?? '' }).waitFor();
    // From here on as at any later visit: the worker already holds the page when it starts.
    await page.reload();
    server.serve(folderOf(1));
    await page.evaluate(() => dispatchEvent(new Event('online')));
    await offer(page).waitFor();
    await work(page);
  } finally {
    await tablet.close();
    await server.stop();
  }
}

test('is offered and not forced: a reload stays with the old one and offers again', () =>
  withNewerBuild(async (page) => {
    expect(await buildOf(page)).toBe('a');
    await page.reload();
    await offer(page).waitFor();
    expect(await buildOf(page)).toBe('a');
  }));

test('comes when asked for, and starts without the host; another tab goes on with the old one until it is asked', () =>
  withNewerBuild(async (page) => {
    const other = await page.context().newPage();
    await other.goto(server.url);
    await offer(other).waitFor();
    await offer(page).click();
    await becomes(page, 'b');
    // The desk is a part loaded late: of build a it is on no host any more, and the worker is build b's.
    await other.getByRole('heading', { name: apps[0]?.title ?? '' }).click();
    await other.locator('.number[data-shown]').waitFor();
    const parts = await other.evaluate(() =>
      performance.getEntriesByType('resource').map(({ name }) => name.split('/').at(-1) ?? ''),
    );
    expect(parts.filter((part) => part.startsWith('desk-screen-')).join()).toMatch(/^desk-screen-a-/);
    expect(await buildOf(other)).toBe('a');
    await offer(other).click();
    await becomes(other, 'b');
    await server.stop();
    await page.reload();
    await page.getByRole('heading', { name: apps[0]?.title ?? '' }).waitFor();
    expect(await buildOf(page)).toBe('b');
    await server.start();
  }));

test('comes to the tab that asked while the browser cannot stop the old worker, and starts without the host', () =>
  withNewerBuild(async (page) => {
    const other = await page.context().newPage();
    await other.goto(server.url);
    await offer(other).waitFor();
    // Chromium gives the new worker its turn once the old one has nothing in hand, or after five minutes.
    server.hold('/assets/never-answered.js');
    await other.evaluate(() => void fetch('assets/never-answered.js').catch(() => undefined));
    await offer(page).click();
    await becomes(page, 'b');
    const stages = (which: Page) =>
      which.evaluate(async () => {
        const registration = await navigator.serviceWorker.getRegistration();
        return [registration?.active?.state, registration?.waiting?.state];
      });
    expect(await stages(page)).toEqual(['activated', 'installed']);
    // What it shows is the newer one already: there is nothing to offer.
    await page.getByRole('heading', { name: apps[0]?.title ?? '' }).click();
    await page.locator('.number[data-shown]').waitFor();
    await page.goBack();
    expect(await offer(page).count()).toBe(0);
    expect(await buildOf(other)).toBe('a');
    // What holds the old worker stays: with it gone the turn would come in the middle of the reload, which Chromium then
    // may leave unanswered (seen in 156, 2 of 11 times).
    await server.stop('butHeld');
    await page.reload();
    await page.getByRole('heading', { name: apps[0]?.title ?? '' }).waitFor();
    expect(await buildOf(page)).toBe('b');
    expect(await offer(page).count()).toBe(0);
    // The turn comes, and is news to the other tab alone.
    await givesTurn(page);
    await until(page, () => navigator.serviceWorker.controller?.state === 'activated');
    expect(await offer(other).count()).toBe(1);
    expect(await offer(page).count()).toBe(0);
    expect(await buildOf(page)).toBe('b');
    await server.start();
  }));

test('asked for in the middle of a stroke, comes after it, and the stroke is kept', () =>
  withNewerBuild(async (page) => {
    await page.getByRole('heading', { name: apps[0]?.title ?? '' }).click();
    await page.locator('.number[data-quality=full], .number[data-quality=flip]').waitFor();
    const way = await onStage(page, slant(0.3, 0.4));
    const [start = { x: 0, y: 0 }] = way;
    await pen(page, 'down', start);
    const askedMs = await offer(page).evaluate((button) => {
      (button as HTMLButtonElement).click();
      return performance.now();
    });
    for (const at of way) {
      await pen(page, 'move', at);
      await nextFrame(page);
    }
    // Several of its looks at the hand later, nothing has changed.
    await until(page, (asked) => performance.now() > asked + 1500, askedMs);
    expect(await buildOf(page)).toBe('a');
    await pen(page, 'up', way.at(-1) ?? start);
    await becomes(page, 'b');
    expect(await keptStrokes(page)).toBe(1);
  }));
