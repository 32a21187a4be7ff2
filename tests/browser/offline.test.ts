/** The built app on a plain static host: first start, then a cold start with the host gone. */
import { readFileSync, renameSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type AppServer, appServer } from '../support/app-server.ts';
import { launch, openTablet, until } from '../support/browser.ts';
import { type SmallApp, smallApp } from '../support/small-app.ts';

let browser: Browser;
let app: SmallApp;
beforeAll(async () => {
  [browser, app] = await Promise.all([launch(), smallApp()]);
});
afterAll(async () => {
  await browser.close();
  app.remove();
});

/** The worker holds the shell and this page. */
const isKept = (page: Page): Promise<void> =>
  until(page, () => navigator.serviceWorker.controller?.state === 'activated', undefined);
const shows = (page: Page, label: string | null): Promise<void> =>
  until(page, (label) => document.querySelector('.number')?.getAttribute('data-shown') === label, label);

describe.each([
  ['at the root of a host', ''],
  ['in a folder of a host', 'studio/tools/'],
])('the app %s', (_name, under) => {
  let server: AppServer;
  beforeAll(async () => {
    server = await appServer({ folder: app.folder, under });
  });
  afterAll(() => server.stop());

  test('opens the shelf and a shot after a cold start with the host gone, and flips', async () => {
    const tablet = await openTablet(browser, 'landscape', 1);
    const problems: string[] = [];
    tablet.on('weberror', (error) => problems.push(error.error().message));
    tablet.on('console', (message) => {
      if (/content security policy/i.test(message.text())) problems.push(message.text());
    });
    const first = await tablet.newPage();
    await first.goto(server.url);
    await first.getByRole('heading', { name: app.title }).waitFor();
    await isKept(first);
    await first.close();
    await server.stop();

    const page = await tablet.newPage();
    await page.goto(server.url);
    await page.getByRole('heading', { name: app.title }).click();
    const shown = page.locator('.number[data-quality=flip], .number[data-quality=full]');
    await shown.waitFor();
    const before = await shown.getAttribute('data-shown');
    await page.keyboard.press('ArrowRight');
    await until(
      page,
      (label) => document.querySelector('.number')?.getAttribute('data-shown') !== label,
      before,
    );
    // A reload at the shot, still with the host gone, comes back to the same drawing.
    const after = await shown.getAttribute('data-shown');
    await until(
      page,
      () => document.querySelector('.desk')?.getAttribute('data-place') === 'kept',
      undefined,
    );
    await page.reload();
    await shows(page, after);
    expect(problems).toEqual([]);
    await tablet.close();
    await server.start();
  });

  test('asks the host for nothing outside its folder', () => {
    expect(server.asked.filter((path) => !path.startsWith(`/${under}`))).toEqual([]);
  });
});

test('the shelf says when all of the app is kept, and only then does everything open with the host gone', async () => {
  const own = await smallApp();
  // The worker's own list: the folder also holds what the release before needs.
  const worker = readFileSync(join(own.folder, 'sw.js'), 'utf8');
  const lost = join(own.folder, /assets\/fix-list-screen[\w-]*\.js/.exec(worker)?.[0] ?? 'none');
  const away = join(own.folder, 'away.js');
  renameSync(lost, away);
  const server = await appServer({ folder: own.folder });
  const tablet = await openTablet(browser, 'landscape', 1);
  const page = await tablet.newPage();
  const says = (what: string): Promise<void> => page.locator(`[data-offline="${what}"]`).waitFor();
  await page.goto(server.url);
  await says('in part');
  await page.getByRole('heading', { name: own.title }).waitFor();
  renameSync(away, lost);
  await page.reload();
  await says('whole');
  await server.stop();
  await page.getByRole('heading', { name: own.title }).click();
  await page.locator('.number[data-shown]').waitFor();
  await page.getByRole('button', { name: /^Fix list/ }).tap();
  await page.getByRole('dialog', { name: 'Fix list' }).getByText('To the desk').waitFor();
  await tablet.close();
  own.remove();
});

describe('what the host is told', () => {
  let server: AppServer;
  beforeAll(async () => {
    server = await appServer({ folder: app.folder });
  });
  afterAll(() => server.stop());
  const head = (path: string): Promise<Response> => fetch(new URL(path, server.url));

  test('a missing asset is missing, never the page', async () => {
    expect((await head('assets/gone-12345678.js')).status).toBe(404);
  });
  test('the page and the worker are looked at again each time, hashed assets never', async () => {
    for (const path of ['', 'sw.js', 'manifest.webmanifest']) {
      expect([path, (await head(path)).headers.get('cache-control')]).toEqual([path, 'no-cache']);
    }
    const entry = /src="\.\/(assets\/[^"]+)"/.exec(await (await head('')).text())?.[1] ?? '';
    expect((await head(entry)).headers.get('cache-control')).toBe('public, max-age=31536000, immutable');
  });
  test('no inline script, no framing', async () => {
    const page = await head('');
    const policy = page.headers.get('content-security-policy') ?? '';
    expect(policy).toContain("script-src 'self';");
    expect(policy).not.toContain('unsafe');
    expect(policy).toContain("frame-ancestors 'none'");
    expect(await page.text()).not.toMatch(/<script(?![^>]*\bsrc=)[^>]*>/);
  });
});

test('files shared from another app arrive at the intake', async () => {
  const server = await appServer({ folder: app.folder });
  const tablet = await openTablet(browser, 'landscape', 1);
  const page = await tablet.newPage();
  await page.goto(server.url);
  await isKept(page);
  // What Android does with `share_target`: a form posted to the app's own address, which no host has.
  await page.setContent(
    `<form method="post" enctype="multipart/form-data" action="${server.url}share"><input type="file" name="files" multiple></form>`,
  );
  const note = (name: string) => ({
    name,
    mimeType: 'text/plain',
    buffer: Buffer.from(`not a drawing: ${name}`),
  });
  await page.locator('input').setInputFiles([note('ünique.txt'), note('second.txt')]);
  await page.evaluate(() => document.querySelector('form')?.submit());
  await page.waitForURL(`${server.url}?shared`);
  await page.getByText('ünique.txt').first().waitFor();
  await page.getByText('second.txt').first().waitFor();
  expect(server.asked).not.toContain('/share');
  await tablet.close();
  await server.stop();
});
