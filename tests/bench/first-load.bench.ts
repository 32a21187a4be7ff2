/** What a first start weighs, and how soon a cold start with no network shows a drawing. */
import { readdirSync, readFileSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import type { BrowserContext } from 'playwright';
import { FIRST_LOAD_BYTES, PRECACHE_BYTES } from '../../src/app/build/budgets.ts';
import { appServer } from '../support/app-server.ts';
import { launch, openTablet, until } from '../support/browser.ts';
import { builtApp } from '../support/built-app.ts';
import { smallApp } from '../support/small-app.ts';
import type { Row } from './row.ts';

const STARTS = 7;

/** Puts the time since navigation, ms, into `seenMs` in the first frame after `selector` is there. */
const WATCH = (selector: string): string => `
  const look = () => document.querySelector('${selector}')
    ? requestAnimationFrame(() => { globalThis.seenMs = performance.now(); })
    : requestAnimationFrame(look);
  requestAnimationFrame(look);`;

async function medianStartMs(tablet: BrowserContext, url: string, selector: string): Promise<number> {
  const times: number[] = [];
  for (let start = 0; start < STARTS; start++) {
    const page = await tablet.newPage();
    await page.addInitScript(WATCH(selector));
    await page.goto(url);
    await until(page, () => 'seenMs' in globalThis, undefined);
    times.push(await page.evaluate<number>('seenMs'));
    await page.close();
  }
  return times.sort((a, b) => a - b)[STARTS >> 1] ?? Number.NaN;
}

/** A page that shows one PNG, and nothing else. */
async function barePage(png: Buffer): Promise<{ url: string; close(): void }> {
  const server = createServer((request, response) => {
    if (request.url === '/1.png') response.setHeader('content-type', 'image/png').end(png);
    else {
      const script = `<script>const i = new Image(); i.src = '1.png'; i.decode().then(() => document.body.append(i));</script>`;
      response
        .setHeader('content-type', 'text/html')
        .end(`<!doctype html><title>bare</title><body>${script}`);
    }
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  return { url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/`, close: () => server.close() };
}

export async function rows(): Promise<Row[]> {
  const built = await builtApp();
  const weights = JSON.parse(readFileSync(join(built, 'weights.json'), 'utf8')) as {
    firstLoadJsBytes: number;
    precacheBytes: number;
  };
  const app = await smallApp();
  const server = await appServer({ folder: app.folder });
  const browser = await launch();
  try {
    const tablet = await openTablet(browser);
    const first = await tablet.newPage();
    await first.goto(server.url);
    const link = first.locator('.shot-open');
    await link.waitFor();
    const shot = await link.getAttribute('href');
    await until(first, () => navigator.serviceWorker.controller?.state === 'activated', undefined);
    await first.close();
    await server.stop();
    const appMs = await medianStartMs(
      tablet,
      server.url + shot,
      '.number[data-quality=flip], .number[data-quality=full]',
    );

    const clean = join(app.folder, 'samples', app.title, 'clean');
    const png = readFileSync(join(clean, readdirSync(clean).sort()[0] ?? ''));
    const bare = await barePage(png);
    const bareMs = await medianStartMs(tablet, bare.url, 'img');
    bare.close();
    return [
      {
        name: 'first load: JavaScript after Brotli',
        value: weights.firstLoadJsBytes / 1000,
        unit: 'kB',
        limit: FIRST_LOAD_BYTES / 1000,
      },
      {
        name: 'first load: precache without samples',
        value: weights.precacheBytes / 1000,
        unit: 'kB',
        limit: PRECACHE_BYTES / 1000,
      },
      { name: 'cold start with no network to the first drawing', value: appMs, unit: 'ms' },
      { name: 'the same, against a bare page showing one PNG', value: appMs / bareMs, unit: '×' },
    ];
  } finally {
    await browser.close();
    app.remove();
  }
}
