// Expected: the limits and sentences of src/server/README.md; statuses of RFC 9110 and RFC 6585 (429).
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, describe, expect, test, vi } from 'vitest';
import { readServeOptions } from '../../../src/server/options.ts';
import { sqliteStore } from '../../../src/server/store/sqlite-store.ts';
import { ask, joined, json, type RawClient, rawClient } from '../../support/ask-studio.ts';
import { type TestStudio, testStudio } from '../../support/studio-server.ts';
import { picture } from '../sync/world.ts';

let studio: TestStudio;
/** With time for a machine that does much else. */
const soon = (check: () => void | Promise<void>): Promise<void> =>
  vi.waitFor(check, { timeout: 60_000, interval: 20 });
const open = async (options: Parameters<typeof testStudio>[0] = {}): Promise<void> => {
  studio = await testStudio(options);
};
afterEach(() => studio.close());

/** A request whose body stops after `sent` of its bytes. */
const half = (path: string, cookie: string, body: Uint8Array, sent: number, more = ''): RawClient =>
  rawClient(
    studio,
    `PUT /${path} HTTP/1.1\r\nHost: ${studio.url.host}\r\nCookie: ${cookie}\r\n${more}Content-Length: ${body.length}\r\n\r\n${Buffer.from(body.subarray(0, sent)).toString('latin1')}`,
  );
const received = async (path: string, cookie: string): Promise<number> =>
  (await (await ask(studio, `${path}/upload`, { headers: { cookie } })).json()).received;

describe('a revoked pass', () => {
  const { bytes, ref } = picture(7, 5000);
  const path = `api/images/${ref.sha256}`;
  const revoke = (id: string, cookie: string): Promise<Response> =>
    ask(studio, `api/passes/${id}`, { method: 'DELETE', headers: { cookie } });

  test('ends its stream at once, and no one else’s', async () => {
    await open({ needsPass: true, heartbeatMs: 3_600_000 });
    const [owner, ana] = [
      await joined(studio, 'Olga', 'director', true),
      await joined(studio, 'Ana', 'artist'),
    ];
    const lives = await Promise.all(
      [owner, ana].map(({ cookie }) => ask(studio, 'api/live', { headers: { cookie } })),
    );
    let ownersEnded = false;
    void lives[0]?.text().then(
      () => {
        ownersEnded = true;
      },
      () => undefined,
    );
    expect((await revoke(ana.pass.id, owner.cookie)).status).toBe(204);
    expect(await lives[1]?.text()).toBe(': open\n\n');
    expect(ownersEnded).toBe(false);
  });

  test('ends its upload under way at once; what comes of it afterwards is not kept', async () => {
    await open({ needsPass: true });
    const [owner, ana] = [
      await joined(studio, 'Olga', 'director', true),
      await joined(studio, 'Ana', 'artist'),
    ];
    const upload = half(path, ana.cookie, bytes, 3000);
    await soon(async () => expect(await received(path, ana.cookie)).toBe(3000));
    await revoke(ana.pass.id, owner.cookie);
    await soon(() => expect(upload.said()).toContain('HTTP/1.1 401 '));
    expect(upload.said()).toContain('Type your code to join.');
    upload.socket.write(Buffer.from(bytes.subarray(3000)));
    await new Promise((resolve) => setTimeout(resolve, 50));
    expect((await ask(studio, path, { headers: { cookie: owner.cookie } })).status).toBe(404);
    upload.socket.destroy();
  });

  test('ends notes that are under way, and none of them is stored', async () => {
    await open({ needsPass: true });
    const [owner, ana] = [
      await joined(studio, 'Olga', 'director', true),
      await joined(studio, 'Ana', 'artist'),
    ];
    const sending = rawClient(
      studio,
      `POST /api/entries HTTP/1.1\r\nHost: ${studio.url.host}\r\nCookie: ${ana.cookie}\r\nContent-Type: application/x-ndjson\r\nContent-Length: 100\r\n\r\n{"v":1`,
    );
    await new Promise((resolve) => setTimeout(resolve, 50));
    await revoke(ana.pass.id, owner.cookie);
    await soon(() => expect(sending.said()).toContain('HTTP/1.1 401 '));
    sending.socket.destroy();
  });

  test('revoked at the prompt, by another process, ends within a second or so', async () => {
    await open({ needsPass: true, heartbeatMs: 3_600_000, revokedMs: 20 });
    const ana = await joined(studio, 'Ana', 'artist');
    const live = await ask(studio, 'api/live', { headers: { cookie: ana.cookie } });
    const other = sqliteStore(join(studio.folder, 'data/studio.sqlite'));
    await other.revokePass(ana.pass.id, Date.now());
    await other.close();
    expect(await live.text()).toBe(': open\n\n');
  });
});

describe('what is open at one time', () => {
  const answer = async (response: Response) => [response.status, (await response.json()).code];

  test('a pass has so many streams: the oldest gives way to the newest', async () => {
    await open({ needsPass: true, limits: { streamsPerPass: 2 } });
    const { cookie } = await joined(studio, 'Ana', 'artist');
    const [first, second, third] = [
      await ask(studio, 'api/live', { headers: { cookie } }),
      await ask(studio, 'api/live', { headers: { cookie } }),
      await ask(studio, 'api/live', { headers: { cookie } }),
    ];
    expect(await first.text()).toBe(': open\n\n');
    expect([second.status, third.status]).toEqual([200, 200]);
    await third.body?.cancel();
    await second.body?.cancel();
  });

  test.each([
    ['one address', { streamsPerAddress: 2 }, 429],
    ['all', { streamsInAll: 2 }, 503],
  ])('streams of %s: the third is told to wait, and let in once one is gone', async (_, limits, status) => {
    await open({ limits });
    const streams = [await ask(studio, 'api/live'), await ask(studio, 'api/live')];
    const refused = await ask(studio, 'api/live');
    expect(refused.headers.get('retry-after')).toBe('10');
    expect(await answer(refused)).toEqual([status, 'open']);
    await streams[0]?.body?.cancel();
    await soon(async () => {
      const again = await ask(studio, 'api/live');
      await again.body?.cancel();
      expect(again.status).toBe(200);
    });
    await streams[1]?.body?.cancel();
  });

  test.each([
    ['one pass', { requestsPerPass: 2 }, 429],
    ['one address', { requestsPerAddress: 2 }, 429],
    ['all', { requestsInAll: 2 }, 503],
  ])('requests of %s: with two under way the third is told to wait', async (_, limits, status) => {
    await open({ needsPass: true, limits });
    const { cookie } = await joined(studio, 'Ana', 'artist');
    const uploads = [1, 2].map((seed) => {
      const { bytes, ref } = picture(seed, 400);
      return half(`api/images/${ref.sha256}`, cookie, bytes, 100);
    });
    await soon(async () => {
      const refused = await ask(studio, 'api/shots', { headers: { cookie } });
      expect(await answer(refused)).toEqual([status, 'open']);
    });
    for (const { socket } of uploads) socket.destroy();
    await soon(async () =>
      expect((await ask(studio, 'api/shots', { headers: { cookie } })).status).toBe(200),
    );
  });

  test.each([
    { connectionsPerAddress: 2, connectionsInAll: 100 },
    { connectionsPerAddress: 100, connectionsInAll: 2 },
  ])('connections, %j: the third hears one sentence, and the two go on', async (limits) => {
    await open({ limits });
    const request = `GET /api/me HTTP/1.1\r\nHost: localhost\r\n\r\n`;
    const [first, second] = [rawClient(studio, request), rawClient(studio, request)];
    await soon(() =>
      expect([first.said(), second.said()]).toEqual(
        [/200 OK/, /200 OK/].map(() => expect.stringContaining('200 OK')),
      ),
    );
    const third = await rawClient(studio).closed;
    expect(third).toContain('HTTP/1.1 503 ');
    expect(JSON.parse(third.split('\r\n\r\n')[1] ?? '')).toMatchObject({ code: 'open' });
    first.socket.end();
    await soon(async () => {
      const next = rawClient(studio, request);
      await soon(() => expect(next.said()).toContain('HTTP/1.1 '));
      next.socket.end();
      expect(next.said()).toContain('200 OK');
    });
    second.socket.end();
  });
});

describe('silence', () => {
  const { bytes, ref } = picture(7, 5000);
  const path = `api/images/${ref.sha256}`;

  test('in the middle of a body ends it with one sentence, and what came of a picture is kept', async () => {
    await open({ limits: { silentMs: 500 } });
    const upload = half(path, '', bytes, 3000);
    const said = await upload.closed;
    expect(said).toContain('HTTP/1.1 408 ');
    expect(said).toContain('it is sent again');
    expect(await received(path, '')).toBe(3000);
  });

  test('a slow link is no silence: a body of pieces is taken, however long the whole takes', async () => {
    await open({ limits: { silentMs: 1000 } });
    const upload = half(path, '', bytes, 0);
    for (let at = 0; at < bytes.length; at += 250) {
      await new Promise((resolve) => setTimeout(resolve, 90));
      upload.socket.write(Buffer.from(bytes.subarray(at, at + 250)));
    }
    await soon(() => expect(upload.said()).toContain('HTTP/1.1 201 '));
    upload.socket.destroy();
  });

  test('a client that says nothing at all, or never reads its answer, is let go', async () => {
    await open({ limits: { silentMs: 100 } });
    const [name, length] = ['a'.repeat(64), 30_000_000];
    const folder = join(studio.folder, 'data/images', 'aa');
    await mkdir(folder);
    await writeFile(join(folder, name), Buffer.alloc(length, 7));
    const mute = rawClient(studio);
    const deaf = rawClient(studio, `GET /api/images/${name} HTTP/1.1\r\nHost: localhost\r\n\r\n`);
    deaf.socket.pause();
    await mute.closed;
    // A paused socket never hears that it was closed: it reads on, and finds the answer cut.
    await new Promise((resolve) => setTimeout(resolve, 1500));
    deaf.socket.resume();
    expect((await deaf.closed).length).toBeLessThan(length);
    expect(studio.log).toEqual([]);
  });
});

describe('room for pictures', () => {
  const put = (seed: number, length: number, init: RequestInit = {}): Promise<Response> => {
    const { bytes, ref } = picture(seed, length);
    return ask(studio, `api/images/${ref.sha256}`, { method: 'PUT', body: bytes, ...init });
  };

  test('is limited: one picture too many is refused with a sentence, and a smaller one still goes in', async () => {
    await open({ limits: { pictureBytes: 10_000, freeBytes: 0 } });
    expect((await put(1, 6000)).status).toBe(201);
    const refused = await put(2, 6000);
    expect(refused.status).toBe(507);
    expect(await refused.json()).toMatchObject({
      code: 'room',
      reason: expect.stringContaining('--picture-gb'),
    });
    expect((await put(3, 3000)).status).toBe(201);
  });

  test('unfinished uploads count, and one that proves wrong gives its room back', async () => {
    await open({ limits: { pictureBytes: 10_000, freeBytes: 0 } });
    const { bytes, ref } = picture(1, 8000);
    const path = `api/images/${ref.sha256}`;
    const piece = (start: number, end: number, body: Uint8Array<ArrayBuffer>): Promise<Response> =>
      ask(studio, path, {
        method: 'PUT',
        headers: { 'content-range': `bytes ${start}-${end - 1}/8000` },
        body: body.slice(start, end),
      });
    expect((await piece(0, 5000, bytes)).status).toBe(202);
    expect((await put(2, 6000)).status).toBe(507);
    expect((await piece(5000, 8000, new Uint8Array(8000))).status).toBe(422);
    expect((await put(2, 6000)).status).toBe(201);
  });

  test('pictures of an earlier start count', async () => {
    await open({ limits: { freeBytes: 0 } });
    await put(1, 6000);
    const again = await testStudio({
      data: join(studio.folder, 'data'),
      limits: { pictureBytes: 10_000, freeBytes: 0 },
    });
    const { bytes, ref } = picture(2, 6000);
    const answer = await ask(again, `api/images/${ref.sha256}`, { method: 'PUT', body: bytes });
    await again.close();
    expect(answer.status).toBe(507);
  });

  test('a disk that is nearly full is left to the notes', async () => {
    await open({ limits: { freeBytes: Number.MAX_SAFE_INTEGER } });
    const refused = await put(1, 6000);
    expect([refused.status, (await refused.json()).code]).toEqual([507, 'full']);
    expect((await ask(studio, 'api/passes', json('POST', {}))).status).toBe(403);
  });
});

test('options set the limits; each has its sentence when it makes no sense', async () => {
  await open();
  const { limits } = readServeOptions([], '/');
  expect(limits).toEqual({ connectionsInAll: 4000, streamsInAll: 1000, pictureBytes: 500e9 });
  const given = readServeOptions(['--connections', '9', '--streams', '7', '--picture-gb', '20'], '/');
  expect(given.limits).toEqual({ connectionsInAll: 9, streamsInAll: 7, pictureBytes: 20e9 });
  for (const [option, value] of [
    ['--connections', '0'],
    ['--streams', 'many'],
    ['--picture-gb', '-1'],
    ['--picture-gb', ''],
  ] as const)
    expect(() => readServeOptions([`${option}=${value}`], '/')).toThrow(`${option} wants a whole number`);
});
