// Expected: `/healthz` and `/readyz` as supervisors ask them (common practice), the sentences of src/server/README.md.
import { mkdir, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, describe, expect, test, vi } from 'vitest';
import { sqliteStore } from '../../../src/server/store/sqlite-store.ts';
import { ask, rawClient } from '../../support/ask-studio.ts';
import { type TestStudio, testStudio } from '../../support/studio-server.ts';
import { entry, pinBody } from '../note/make.ts';

let studio: TestStudio;
/** With time for a machine that does much else. */
const soon = (check: () => void | Promise<void>): Promise<void> =>
  vi.waitFor(check, { timeout: 60_000, interval: 20 });
afterEach(() => studio.close());

const build = async (): Promise<void> => {
  await mkdir(join(studio.folder, 'app'));
  await writeFile(join(studio.folder, 'app/headers.json'), '{}');
};
const ready = async () => {
  const response = await ask(studio, 'readyz');
  return [response.status, await response.json()];
};

describe('a supervisor', () => {
  test('gets its answer by any name and without a pass, behind a proxy too', async () => {
    studio = await testStudio({ needsPass: true, behindProxy: true });
    await build();
    for (const path of ['healthz', 'readyz']) {
      const asked = rawClient(studio, `GET /${path} HTTP/1.1\r\nHost: 10.0.0.7\r\nConnection: close\r\n\r\n`);
      expect(await asked.closed, path).toContain('HTTP/1.1 200 ');
      expect((await ask(studio, path, { method: 'HEAD' })).status).toBe(200);
      expect((await ask(studio, path, { method: 'POST' })).status).toBe(405);
    }
  });
  test('hears that the app is not built, or that nothing can be stored', async () => {
    studio = await testStudio();
    expect(await ready()).toEqual([503, { ready: false, reason: 'The app is not built yet.' }]);
    await build();
    await soon(async () => expect(await ready()).toEqual([200, { ready: true }]));
    await rm(join(studio.folder, 'data/studio.sqlite'));
    await soon(async () =>
      expect(await ready()).toEqual([503, { ready: false, reason: 'The data folder cannot be written.' }]),
    );
    expect((await ask(studio, 'healthz')).status).toBe(200);
  });
});

describe('a server that is stopped', () => {
  test('tells its streams, takes nothing new, and is not ready', async () => {
    studio = await testStudio();
    await build();
    const live = await ask(studio, 'api/live');
    studio.studio.stop();
    expect(await live.text()).toBe(': open\n\n: the studio server stops\n\n');
    const late = await ask(studio, 'api/me');
    expect([late.status, await late.json()]).toMatchObject([503, { code: 'stopping' }]);
    expect(await ready()).toEqual([503, { ready: false, reason: 'The studio server is being stopped.' }]);
    expect((await ask(studio, 'healthz')).status).toBe(200);
  });
  test('still commits and answers what is under way', async () => {
    const data = join((await testStudio().then((made) => (studio = made))).folder, 'kept');
    const stopped = await testStudio({ data });
    const body = JSON.stringify(entry(pinBody(), 1, undefined, 'under-way'));
    const sending = rawClient(
      stopped,
      `POST /api/entries HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-ndjson\r\nContent-Length: ${body.length}\r\n\r\n${body.slice(0, 50)}`,
    );
    await soon(async () => expect((await ask(stopped, 'api/me')).status).toBe(200));
    const closed = stopped.close();
    sending.socket.write(body.slice(50));
    await closed;
    expect(await sending.closed).toContain('"accepted":["under-way"]');
    const store = sqliteStore(join(data, 'studio.sqlite'));
    expect((await store.find(['under-way'])).size).toBe(1);
    await store.close();
  });
});

test('a clock that is set back or forth by days locks nobody out', async () => {
  let now = Date.now();
  studio = await testStudio({ now: () => now, limits: { requestBurst: 5, requestsPerSecond: 1 } });
  const status = async (): Promise<number> => (await ask(studio, 'api/me')).status;
  expect(await status()).toBe(200);
  now -= 3 * 86_400_000;
  expect([await status(), await status()]).toEqual([200, 200]);
  now += 9 * 86_400_000;
  expect([await status(), await status()]).toEqual([200, 200]);
});
