/**
 * WebKit puts the page it leaves away whole, frozen with its transactions; what the next page asks of that database
 * then waits for ever, unless the page that was left had none (issue seen with WebKit 2.50).
 */
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { setTimeout as delay } from 'node:timers/promises';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type KettleApp, kettleApp } from '../browser/desk-app.ts';
import { untilThere } from './ended.ts';
import { ensureWebKit, launchWebKit } from './webkit.ts';

let app: KettleApp;
let elsewhere: Server;
let webkit: Awaited<ReturnType<typeof launchWebKit>>;

const here = ensureWebKit() !== undefined;
if (!here) console.warn('WebKit is not here and could not be installed: what only it can show is left out.');

beforeAll(async () => {
  if (!here) return;
  app = await kettleApp();
  elsewhere = createServer((_, response) =>
    response.writeHead(200, { 'content-type': 'text/html' }).end('<h1>Elsewhere</h1>'),
  );
  await new Promise<void>((done) => elsewhere.listen(0, '127.0.0.1', done));
  webkit = await launchWebKit();
});
afterAll(async () => {
  await webkit?.end();
  elsewhere?.close();
  await app?.close();
});

const isThere = (selector: string): Promise<true> =>
  untilThere(`${selector} never came`, 60_000, async () =>
    (await webkit.evaluate((wanted: string) => document.querySelector(wanted) !== null, selector))
      ? true
      : undefined,
  );

test.runIf(here)('the shelf opens again, however soon the desk was left', async () => {
  const desk = `${app.server.url}#/shot/sample-kettle`;
  await webkit.goto(app.server.url);
  await isThere('a[href="#/shot/sample-kettle"]');
  for (const [round, waitMs] of [0, 300, 1200].entries()) {
    await webkit.goto(`${app.server.url}?round=${round}#/shot/sample-kettle`);
    await isThere('[data-place]');
    await delay(waitMs);
    await webkit.goto(`http://localhost:${(elsewhere.address() as AddressInfo).port}/`);
  }
  await webkit.goto(desk);
  await isThere('[data-place]');
  expect(await webkit.evaluate(() => document.querySelector('h1')?.textContent)).toBe(
    'The kettle boils over',
  );
});
