// Two tablets (two browsers' storages) and a server in a process of its own. Expected: every note on both, once.
import { mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, BrowserContext, Page } from 'playwright';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { killServer, type OwnServer, startServer } from '../fault/killed-server.ts';
import { launch, openTablet, until } from '../support/browser.ts';
import { temporaryFolder } from '../support/studio-server.ts';
import { buildSyncPage } from '../support/sync-page.ts';

let folder: string;
let app: string;
let browser: Browser;

beforeAll(async () => {
  folder = temporaryFolder();
  app = join(folder, 'app');
  await buildSyncPage(app);
  browser = await launch();
});
afterAll(async () => {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
});

// Retries wait longer each time, by design; a busy machine needs room for a few of them.
describe('two tablets and a studio server', { timeout: 240_000 }, () => {
  let server: OwnServer;
  let data: string;
  let contexts: BrowserContext[];
  let one: Page;
  let two: Page;
  const start = (port = 0): Promise<OwnServer> => startServer(data, port, ['--app', app]);
  const restart = async (): Promise<void> => {
    const { port } = server.url;
    await killServer(server);
    server = await start(Number(port));
  };
  beforeEach(async () => {
    data = join(folder, `data ${Date.now()}`);
    mkdirSync(data);
    server = await start();
    contexts = [await openTablet(browser, 'landscape', 1), await openTablet(browser, 'landscape', 1)];
    const pages: Page[] = [];
    for (const context of contexts) {
      const page = await context.newPage();
      await page.goto(server.url.href);
      await until(page, () => 'tablet' in globalThis);
      pages.push(page);
    }
    [one, two] = pages as [Page, Page];
  });
  afterEach(async () => {
    for (const context of contexts) await context.close();
    await killServer(server);
  });

  const offline = async (is: boolean): Promise<void> => {
    for (const context of contexts) await context.setOffline(is);
  };
  const write = (page: Page, name: string, count: number): Promise<void> =>
    page.evaluate(([name, count]) => globalThis.tablet.write(name as string, count as number), [name, count]);
  const expected = (...of: [name: string, count: number][]): string[] =>
    of.flatMap(([name, count]) => Array.from({ length: count }, (_, n) => `${name}-${n}`)).sort();
  /** Waits for the notes by themselves: hints, timers and retries are all the page's own. */
  const bothHave = async (ids: string[]): Promise<void> => {
    for (const page of [one, two]) {
      await until(page, async (count) => (await globalThis.tablet.ids()).length >= count, ids.length);
      expect(await page.evaluate(() => globalThis.tablet.ids())).toEqual(ids);
      await until(page, () => globalThis.tablet.sign() === 'all sent');
      expect(await page.evaluate(() => globalThis.tablet.unsent())).toBe(0);
    }
  };

  test('a note on one is on the other by a hint alone', async () => {
    await until(two, () => globalThis.tablet.link() === 'online');
    await write(one, 'one', 1);
    await bothHave(expected(['one', 1]));
  });

  test('notes made offline on both, the server killed in the middle of the sync and started again', async () => {
    await offline(true);
    await write(one, 'one', 700);
    await write(two, 'two', 500);
    expect(await one.evaluate(() => globalThis.tablet.unsent())).toBe(700);
    const firstAnswer = one.waitForResponse((response) => response.request().method() === 'POST');
    await offline(false);
    await firstAnswer;
    await restart();
    await bothHave(expected(['one', 700], ['two', 500]));
  });

  test('the network cut after a request was sent, and a request delivered twice: every note once', async () => {
    let cut = 0;
    await one.route('**/api/entries', async (route) => {
      if (route.request().method() !== 'POST') return route.continue();
      const answer = await route.fetch();
      if (cut++ === 0) return route.abort('connectionreset');
      await route.fetch();
      return route.fulfill({ response: answer });
    });
    await write(one, 'one', 3);
    await bothHave(expected(['one', 3]));
    expect(cut).toBeGreaterThan(0);
    await write(one, 'twice', 2);
    await bothHave(expected(['one', 3], ['twice', 2]));
    expect(cut).toBeGreaterThan(1);
  });

  test('a tablet closed with notes waiting sends them when it is opened again', async () => {
    await offline(true);
    await write(one, 'one', 20);
    await one.close();
    await offline(false);
    one = await (contexts[0] as BrowserContext).newPage();
    await one.goto(server.url.href);
    await until(one, () => 'tablet' in globalThis);
    await bothHave(expected(['one', 20]));
  });

  test('the server away: the tablet says how many wait, and loses nothing over its own reload', async () => {
    await until(one, () => globalThis.tablet.link() === 'online');
    const { port } = server.url;
    await killServer(server);
    await write(one, 'one', 5);
    await until(one, () => globalThis.tablet.sign() === 'waiting');
    server = await start(Number(port));
    await bothHave(expected(['one', 5]));
  });
});
