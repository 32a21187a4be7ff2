// Expected: what src/server/store/README.md says holds over all servers, with limits small enough to count by hand.
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { Client } from 'pg';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from 'vitest';
import { usualLimits } from '../../../src/server/limits.ts';
import { openRequests } from '../../../src/server/open-requests.ts';
import { rates } from '../../../src/server/rates.ts';
import { saidOnce } from '../../../src/server/said-once.ts';
import { ask, joined, rawClient } from '../../support/ask-studio.ts';
import { findPostgres, type OwnPostgres, startPostgres } from '../../support/postgres.ts';
import { type TestStudio, temporaryFolder, testStudio } from '../../support/studio-server.ts';

const found = findPostgres();
if ('lacking' in found) console.warn(found.lacking);
const soon = (check: () => unknown): Promise<unknown> => vi.waitFor(check, { timeout: 60_000, interval: 20 });

describe.skipIf('lacking' in found)('two servers on one database', () => {
  let postgres: OwnPostgres;
  let url = '';
  let made = 0;
  let folder = '';
  let studios: TestStudio[] = [];
  const open = async (options: Parameters<typeof testStudio>[0]): Promise<[TestStudio, TestStudio]> => {
    const both = {
      data: join(folder, 'data'),
      database: url,
      needsPass: true,
      heartbeatMs: 3_600_000,
      ...options,
    };
    studios = [await testStudio(both), await testStudio(both)];
    return studios as [TestStudio, TestStudio];
  };

  beforeAll(async () => {
    if ('lacking' in found) throw new Error(found.lacking);
    postgres = await startPostgres(found.programs);
  });
  afterAll(() => postgres?.end());
  beforeEach(async () => {
    url = await postgres.database(`house_${++made}`);
    folder = temporaryFolder();
  });
  afterEach(async () => {
    for (const studio of studios.splice(0)) await studio.close();
    rmSync(folder, { recursive: true, force: true });
  });

  test('share how fast a pass may ask: spread over both it has what it would have at one', async () => {
    // A clock that stands: nothing refills here, and next to nothing at the database.
    const limits = { requestBurst: 40, requestsPerSecond: 0.01 };
    const [one, two] = await open({ now: () => 1e12, limits, neighbourMs: 20 });
    const { cookie } = await joined(one, 'Ana', 'artist');
    const statuses: number[] = [];
    for (let n = 0; n < 60; n++) {
      const { status } = await ask(n % 2 ? one : two, 'api/shots', { headers: { cookie } });
      statuses.push(status);
      // What was asked at one is heard of at the other.
      await new Promise((resolve) => setTimeout(resolve, 60));
    }
    const letIn = statuses.filter((status) => status === 200).length;
    // The one below which nothing is told, and what went through before the other had heard.
    expect(letIn).toBeGreaterThanOrEqual(40);
    expect(letIn).toBeLessThanOrEqual(44);
    expect(statuses.slice(-5)).toEqual([429, 429, 429, 429, 429]);
  });

  test('share how many streams a pass has: the oldest gives way, on whatever server it is', async () => {
    const [one, two] = await open({ limits: { streamsPerPass: 2 }, neighbourMs: 20 });
    const { cookie } = await joined(one, 'Ana', 'artist');
    const stream = (studio: TestStudio): Promise<Response> =>
      ask(studio, 'api/live', { headers: { cookie } });
    const first = await stream(one);
    // A later moment by any clock.
    await new Promise((resolve) => setTimeout(resolve, 20));
    const [second, third] = [await stream(two), await stream(two)];
    expect(await first.text()).toBe(': open\n\n');
    await new Promise((resolve) => setTimeout(resolve, 200));
    const ended = vi.fn<() => void>();
    for (const open of [second, third]) void open.text().then(ended, () => undefined);
    await new Promise((resolve) => setTimeout(resolve, 200));
    expect(ended).not.toHaveBeenCalled();
  });

  test('share how much an address has open: streams, and requests under way', async () => {
    const limits = { streamsPerAddress: 2, requestsPerAddress: 3 };
    const [one, two] = await open({ limits, neighbourMs: 20 });
    const { cookie } = await joined(one, 'Ana', 'artist');
    const streams = [
      await ask(one, 'api/live', { headers: { cookie } }),
      await ask(two, 'api/live', { headers: { cookie } }),
    ];
    await soon(async () => {
      const refused = await ask(one, 'api/live', { headers: { cookie } });
      void refused.body?.cancel();
      expect(refused.status).toBe(429);
    });
    for (const { body } of streams) await body?.cancel();
    const sending = [1, 2, 3].map(() =>
      rawClient(
        one,
        `POST /api/entries HTTP/1.1\r\nHost: ${one.url.host}\r\nCookie: ${cookie}\r\nContent-Type: application/x-ndjson\r\nContent-Length: 100\r\n\r\n{"v":1`,
      ),
    );
    await soon(async () => expect((await ask(two, 'api/shots', { headers: { cookie } })).status).toBe(429));
    for (const { socket } of sending) socket.destroy();
    await soon(async () => expect((await ask(two, 'api/shots', { headers: { cookie } })).status).toBe(200));
  });

  test('leave nothing behind: what is full again, and what a server told that is gone, is forgotten', async () => {
    const [one, two] = await open({ limits: { requestBurst: 20, requestsPerSecond: 10 }, neighbourMs: 20 });
    const { cookie } = await joined(one, 'Ana', 'artist');
    for (let n = 0; n < 15; n++) await ask(one, 'api/shots', { headers: { cookie } });
    for (let n = 0; n < 3; n++)
      await ask(two, 'api/join', {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: '{"code":"AAAAA-AAAAA"}',
      });
    const raw = new Client(url);
    await raw.connect();
    try {
      const rows = async (): Promise<number[]> =>
        (
          await raw.query<{ n: number[] }>(
            `SELECT ARRAY[(SELECT count(*) FROM fairpeg.guess), (SELECT count(*) FROM fairpeg.spent),
               (SELECT count(*) FROM fairpeg.open)]::int[] AS n`,
          )
        ).rows[0]?.n ?? [];
      // Of guesses: the address, the address when there were many, all; of requests: the pass, and the address that guessed.
      await soon(async () => expect(await rows()).toEqual([3, 2, 2]));
      for (const table of ['guess', 'spent', 'open'])
        await raw.query(`UPDATE fairpeg.${table} SET at = at - interval '11 minutes'`);
      // The next that is counted takes the old ones away; one that was silent for so long is told anew.
      const next = await one.studio.store.neighbours?.spend(new Map([['next', 3]]), 20, 10);
      expect([...(next ?? [])]).toEqual([['next', 17]]);
      expect((await raw.query('SELECT key FROM fairpeg.spent')).rows).toEqual([{ key: 'next' }]);
      expect(await one.studio.store.neighbours?.tellOpen('mine')).toBeDefined();
      await two.studio.close();
      await soon(async () => expect(await one.studio.store.neighbours?.tellOpen('mine')).toEqual([]));
    } finally {
      await raw.end();
    }
  });
});

test('while the database is away a server counts by itself, and what it told in vain is not told again', async () => {
  let away = true;
  const told: [string, number][][] = [];
  const counted = rates(
    { requestBurst: 200, requestsPerSecond: 1 },
    {
      async spend(spent) {
        if (away) throw new Error('away');
        told.push([...spent]);
        // Others used all of it, and three more.
        return new Map([...spent.keys()].map((key) => [key, -3]));
      },
    },
    () => 0,
  );
  const take = (times: number, nowMs = 0): number =>
    Array.from({ length: times }, () => counted.take('ana', nowMs)).filter(Boolean).length;
  expect(take(5)).toBe(5);
  await counted.settle();
  away = false;
  expect(take(1)).toBe(1);
  await counted.settle();
  expect(told).toEqual([[['ana', 1]]]);
  // By hand: a debt of three at one a second is paid after three seconds, and after four one may be asked.
  expect([take(1), take(1, 3500), take(2, 4500)]).toEqual([0, 0, 1]);
});

test('what a server of another version tells is passed over', () => {
  const open = openRequests(usualLimits);
  open.hear(['', '{', '{"v":2}', '[]']);
  expect(JSON.parse(open.tell())).toEqual({
    requestsOfPass: {},
    requestsOfAddress: {},
    streamsOfPass: {},
    streamsOfAddress: {},
  });
});

test('what goes on failing is said once, and once when it is well again', () => {
  const log: string[] = [];
  const said = saidOnce((line) => log.push(line), 'Well again.');
  said.well();
  for (const line of ['Away.', 'Away.', 'Still away.']) said.failed(line);
  said.well();
  said.well();
  said.failed('Away.');
  expect(log).toEqual(['Away.', 'Well again.', 'Away.']);
});
