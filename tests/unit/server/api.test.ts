// Expected values: RFC 9110 (ranges, conditional requests), RFC 6265bis (cookies), and the rules in src/server/README.md.
import { readdir, readFile, writeFile } from 'node:fs/promises';
import { connect } from 'node:net';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Entry } from '../../../src/note/entry.ts';
import { bucket } from '../../../src/server/limits.ts';
import { makePass, ownerCode } from '../../../src/server/passes.ts';
import { readRange } from '../../../src/server/pictures/images.ts';
import { type TestStudio, testStudio } from '../../support/studio-server.ts';
import { ana, dov, entry, pinBody } from '../note/make.ts';
import { picture } from '../sync/world.ts';

let studio: TestStudio;
let now = Date.now();
const open = async (options: Parameters<typeof testStudio>[0] = {}): Promise<void> => {
  studio = await testStudio({ now: () => now, ...options });
};
afterEach(() => studio.close());

const ask = (path: string, init: RequestInit = {}): Promise<Response> =>
  fetch(new URL(path, studio.url), init);
const json = (method: string, value: unknown, headers: Record<string, string> = {}): RequestInit => ({
  method,
  headers: { 'content-type': 'application/json', ...headers },
  body: JSON.stringify(value),
});
const post = async (entries: unknown[], headers: Record<string, string> = {}) => {
  const response = await ask('api/entries', {
    method: 'POST',
    headers: { 'content-type': 'application/x-ndjson', ...headers },
    body: entries.map((entry) => JSON.stringify(entry)).join('\n'),
  });
  return {
    status: response.status,
    ...((await response.json()) as {
      accepted?: string[];
      refused?: { id?: string; code: string; reason: string }[];
      code?: string;
      reason?: string;
    }),
  };
};
const joined = async (name: string, role: 'artist' | 'director' | 'assistant', owner = false) => {
  const { code, pass } = await makePass(studio.studio.store, { name, role, owner }, now);
  const response = await ask('api/join', json('POST', { code, person: `person-${name}` }));
  const cookie = response.headers.get('set-cookie')?.split(';')[0] ?? '';
  return { cookie, pass, writer: { id: `person-${name}`, name, role } };
};

describe('entries', () => {
  beforeEach(() => open());
  test('every one is answered: accepted, or refused with its id and reason', async () => {
    const good = entry(pinBody(), 1, dov, 'good');
    const bad = { ...good, id: 'bad', body: pinBody({ at: 'here' as never }) };
    const later = { ...good, id: 'later', v: 3, body: { kind: 'hum' } };
    const answer = await post([good, bad, later, 'nothing', { ...good, body: pinBody({ text: 'twin' }) }]);
    expect(answer.status).toBe(200);
    expect(answer.accepted).toEqual(['good', 'later']);
    expect(answer.refused?.map(({ id, code }) => [id, code])).toEqual([
      ['bad', 'form'],
      [undefined, 'form'],
      ['good', 'clash'],
    ]);
    expect(answer.refused?.[0]?.reason).toContain('body.at');
  });
  test('a page is followed by the next, and a later version’s entry comes back word for word', async () => {
    const later = { ...entry(pinBody(), 1, dov, 'later'), v: 3, extra: [1, 'ä'] } as unknown as Entry;
    await post([later, ...Array.from({ length: 5 }, (_, n) => entry(pinBody(), n, dov, `n${n}`))]);
    const first = await (await ask('api/entries?shot=shot-1&limit=4')).json();
    expect(first).toMatchObject({ more: true, entries: [later, {}, {}, {}] });
    const second = await (await ask(`api/entries?shot=shot-1&limit=4&after=${first.cursor}`)).json();
    expect(second).toMatchObject({ more: false, entries: [{ id: 'n3' }, { id: 'n4' }] });
  });
  test('an edit of what has not arrived is “early” for an artist, and taken once it has', async () => {
    const pin = entry(pinBody(), 1, ana, 'pin');
    const edit = entry({ kind: 'edit', to: 'pin', text: 'Right side.' }, 2, ana, 'edit');
    expect((await post([edit])).refused).toMatchObject([{ id: 'edit', code: 'early' }]);
    expect((await post([edit, pin])).accepted).toEqual(['edit', 'pin']);
  });
  test('too many, too long, no JSON, a form’s type: refused with a sentence, nothing stored', async () => {
    const many = Array.from({ length: 501 }, (_, n) => entry(pinBody(), n, dov, `n${n}`));
    expect(await post(many)).toMatchObject({ status: 413, code: 'too many' });
    const long = entry(
      pinBody({
        strokes: Array.from({ length: 60 }, () => ({
          colour: 'red' as const,
          widthPx: 2,
          points: Array.from({ length: 30_000 }, () => 1234.5),
        })),
      }),
      1,
    );
    expect(await post([long])).toMatchObject({ status: 413, code: 'too long' });
    const lines = (body: string, type = 'application/x-ndjson') =>
      ask('api/entries', { method: 'POST', headers: { 'content-type': type }, body });
    const good = JSON.stringify(entry(pinBody(), 1));
    expect((await lines(`${good}\n{`)).status).toBe(400);
    expect((await lines(good, 'application/json')).status).toBe(415);
    expect((await ask('api/entries', { method: 'POST', body: 'entries=1' })).status).toBe(415);
    expect(await studio.studio.store.last('shot-1')).toBe(0);
  });
});

describe('images', () => {
  const { bytes, ref } = picture(7, 1000);
  const path = `api/images/${ref.sha256}`;
  beforeEach(() => open());
  const put = (): Promise<Response> => ask(path, { method: 'PUT', body: bytes });

  test('are kept by hash, and served immutable, in ranges, and not again when known', async () => {
    expect((await put()).status).toBe(201);
    const whole = await ask(path);
    expect(new Uint8Array(await whole.arrayBuffer())).toEqual(bytes);
    expect(whole.headers.get('cache-control')).toMatch(/immutable/);
    const etag = whole.headers.get('etag') ?? '';
    expect((await ask(path, { headers: { 'if-none-match': etag } })).status).toBe(304);
    const part = await ask(path, { headers: { range: 'bytes=100-199' } });
    expect(part.status).toBe(206);
    expect(part.headers.get('content-range')).toBe('bytes 100-199/1000');
    expect(new Uint8Array(await part.arrayBuffer())).toEqual(bytes.slice(100, 200));
    expect((await ask(path, { headers: { range: 'bytes=1000-' } })).status).toBe(416);
    expect((await ask(path, { headers: { range: 'bytes=5-9', 'if-range': '"other"' } })).status).toBe(200);
    expect((await ask(path, { method: 'HEAD' })).headers.get('content-length')).toBe('1000');
  });
  test('of other bytes than their name says are not kept', async () => {
    const wrong = await ask(path, { method: 'PUT', body: picture(8, 1000).bytes });
    expect(wrong.status).toBe(422);
    expect((await ask(path)).status).toBe(404);
    expect(await readdir(join(studio.folder, 'data/images/parts'))).toEqual([]);
  });
  test('arrive in pieces: a gap is refused, and the server says where it stopped', async () => {
    const piece = (start: number, end: number): Promise<Response> =>
      ask(path, {
        method: 'PUT',
        headers: { 'content-range': `bytes ${start}-${end - 1}/1000` },
        body: bytes.slice(start, end),
      });
    expect((await piece(0, 400)).status).toBe(202);
    expect(await (await ask(`${path}/upload`)).json()).toEqual({ whole: false, received: 400 });
    expect((await piece(500, 1000)).status).toBe(409);
    expect((await piece(400, 1000)).status).toBe(201);
    expect(await (await ask(`${path}/upload`)).json()).toMatchObject({ whole: true });
  });
  test('a connection that died unnoticed holds no one up: the next goes on after it', async () => {
    const dead = connect(Number(studio.url.port), '127.0.0.1');
    dead.write(
      `PUT /${path} HTTP/1.1\r\nHost: ${studio.url.host}\r\nContent-Length: 1000\r\n\r\n${'x'.repeat(300)}`,
    );
    await vi.waitFor(async () => {
      expect(await (await ask(`${path}/upload`)).json()).toMatchObject({ received: 300 });
    });
    expect((await put()).status).toBe(201);
    expect(new Uint8Array(await (await ask(path)).arrayBuffer())).toEqual(bytes);
    dead.destroy();
  });
  test('two who send the same one at once are both told that it is there', async () => {
    const answers = await Promise.all([put(), put(), put()]);
    expect(answers.map(({ ok }) => ok)).toEqual([true, true, true]);
  });
  test('a stored file that is not what its name says gives way to who sends it, and is set aside', async () => {
    await put();
    const folder = join(studio.folder, 'data/images');
    const file = join(folder, ref.sha256.slice(0, 2), ref.sha256);
    await writeFile(file, picture(8, 1000).bytes);
    expect((await put()).status).toBe(201);
    expect(new Uint8Array(await (await ask(path)).arrayBuffer())).toEqual(bytes);
    const [aside = ''] = await readdir(join(folder, 'not-as-named'));
    expect(new Uint8Array(await readFile(join(folder, 'not-as-named', aside)))).toEqual(
      picture(8, 1000).bytes,
    );
  });
  test('many who send it at once, some of them other bytes: what is kept is what its name says', async () => {
    const wrong = (): Promise<Response> => ask(path, { method: 'PUT', body: picture(8, 1000).bytes });
    await Promise.all([wrong(), put(), wrong(), put(), put(), wrong()]);
    expect(new Uint8Array(await (await ask(path)).arrayBuffer())).toEqual(bytes);
    expect(await readdir(join(studio.folder, 'data/images/parts'))).toEqual([]);
  });
  // RFC 9110, 14.1.2: first-last inclusive, open end, suffix; anything else means the whole.
  test.each([
    ['bytes=0-0', { start: 0, end: 1 }],
    ['bytes=990-', { start: 990, end: 1000 }],
    ['bytes=-10', { start: 990, end: 1000 }],
    ['bytes=-5000', { start: 0, end: 1000 }],
    ['bytes=10-5000', { start: 10, end: 1000 }],
    ['bytes=5-4', undefined],
    ['bytes=0-1,5-6', undefined],
    ['pages=1-2', undefined],
    ['bytes=-0', 'outside'],
    [undefined, undefined],
  ])('range %s', (header, expected) => expect(readRange(header, 1000)).toEqual(expected));
});

describe('for one person on this machine', () => {
  beforeEach(() => open());
  /** `fetch` sets these headers itself, so by hand. */
  const raw = (text: string, hangUp = false): Promise<string> =>
    new Promise((resolve, reject) => {
      let got = '';
      const socket = connect(Number(studio.url.port), '127.0.0.1', () =>
        hangUp ? socket.end(text) : socket.write(text),
      );
      socket.on('data', (piece) => {
        got += String(piece);
      });
      socket.on('close', () => resolve(got)).on('error', reject);
    });
  test.each([
    ['a name pointed here', 'Host: evil.example', 421],
    ['a proxy in front', `Host: localhost\r\nX-Forwarded-For: 192.0.2.7`, 421],
    ['its own name', 'Host: localhost:4173', 200],
  ])('%s is answered with the status expected', async (_, headers, status) => {
    expect(await raw(`GET /api/me HTTP/1.1\r\n${headers}\r\nConnection: close\r\n\r\n`)).toContain(
      `HTTP/1.1 ${status} `,
    );
  });
  test.each([
    ['Origin: http://evil.example', 403],
    ['Sec-Fetch-Site: cross-site', 403],
    ['Origin: http://localhost:4173', 200],
  ])('writing from a page with %s', async (header, status) => {
    const body = JSON.stringify(entry(pinBody(), 1));
    const answer = await raw(
      `POST /api/entries HTTP/1.1\r\nHost: localhost:4173\r\n${header}\r\nContent-Type: application/x-ndjson\r\nContent-Length: ${body.length}\r\nConnection: close\r\n\r\n${body}`,
    );
    expect(answer).toContain(`HTTP/1.1 ${status} `);
  });
  test('a broken client costs its own connection only', async () => {
    expect(await raw('NONSENSE\r\n\r\n')).toContain('400');
    await raw(
      'POST /api/entries HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-ndjson\r\nContent-Length: 500\r\n\r\n{"ent',
      true,
    );
    expect((await ask('api/me')).status).toBe(200);
    expect(studio.log).toEqual([]);
  });
  test('nothing outside the app is served, and a missing file is 404, not the page', async () => {
    const app = join(studio.folder, 'app');
    await import('node:fs/promises').then(({ mkdir }) => mkdir(app));
    await writeFile(join(app, 'index.html'), '<p>page');
    await writeFile(
      join(app, 'headers.json'),
      JSON.stringify({ 'index.html': { 'content-type': 'text/html', 'cache-control': 'no-cache' } }),
    );
    expect(await (await ask('')).text()).toBe('<p>page');
    for (const path of [
      'assets/gone.js',
      'headers.json',
      '..%2fdata%2fstudio.sqlite',
      '%2e%2e/data/studio.sqlite',
      'api/nothing',
    ]) {
      expect((await ask(path)).status, path).toBe(404);
    }
    expect(
      await raw('GET /../data/studio.sqlite HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n'),
    ).toContain('HTTP/1.1 404 ');
    expect((await ask('', { method: 'DELETE' })).status).toBe(405);
  });
});

test('alone on one machine nobody gives passes, and nobody is shown them', async () => {
  await open();
  expect(await (await ask('api/me')).json()).toMatchObject({ needsPass: false, owner: false });
  expect((await ask('api/passes')).status).toBe(403);
});

describe('on the network', () => {
  const urls = (): string[] => ['https://studio.local:4173'];
  beforeEach(() => open({ needsPass: true, secure: true, heartbeatMs: 20, urls }));

  test('without a pass nothing but the door is open', async () => {
    for (const path of [
      'api/shots',
      'api/entries?shot=x',
      `api/images/${'a'.repeat(64)}`,
      'api/live',
      'api/passes',
    ]) {
      expect((await ask(path)).status, path).toBe(401);
    }
    expect(await (await ask('api/me')).json()).toMatchObject({ needsPass: true, person: null, owner: false });
  });
  test('the cookie is safe, and the token nowhere in the store', async () => {
    const { code } = await makePass(studio.studio.store, { name: 'Ana', role: 'artist' }, now);
    const response = await ask('api/join', json('POST', { code }));
    const cookie = response.headers.get('set-cookie') ?? '';
    expect(cookie).toMatch(
      /^__Host-fairpeg=[\w-]{43}; Path=\/; Max-Age=\d+; HttpOnly; SameSite=Strict; Secure$/,
    );
    const token = /=([\w-]{43});/.exec(cookie)?.[1] ?? 'none';
    await studio.studio.store.passes();
    const { readFile } = await import('node:fs/promises');
    for (const file of ['studio.sqlite', 'studio.sqlite-wal']) {
      const kept = await readFile(join(studio.folder, 'data', file), 'latin1');
      expect(kept.includes(token), file).toBe(false);
      expect(kept.includes(code.replace('-', '')), file).toBe(false);
    }
  });
  test('an entry in another’s name, or above one’s role, is refused; the rest of the batch is stored', async () => {
    const { cookie, writer } = await joined('Ana', 'artist');
    const own = entry(pinBody(), 1, writer, 'own');
    const answer = await post(
      [
        own,
        { ...own, id: 'forged', writer: dov },
        { ...own, id: 'raised', writer: { ...writer, role: 'director' } },
        entry({ kind: 'state', to: 'own', state: 'approved' }, 2, writer, 'approved'),
      ],
      { cookie },
    );
    expect(answer.accepted).toEqual(['own']);
    expect(answer.refused?.map(({ id, code }) => [id, code])).toEqual([
      ['forged', 'writer'],
      ['raised', 'writer'],
      ['approved', 'role'],
    ]);
  });
  test('nobody gets an id that is someone’s already', async () => {
    await joined('Ana', 'artist');
    const { code } = await makePass(studio.studio.store, { name: 'Eve', role: 'artist' }, now);
    const response = await ask('api/join', json('POST', { code, person: 'person-Ana' }));
    expect((await response.json()).person.id).not.toBe('person-Ana');
  });
  test('nobody gets the id under which the server itself writes', async () => {
    const { code } = await makePass(studio.studio.store, { name: 'Eve', role: 'artist' }, now);
    const response = await ask('api/join', json('POST', { code, person: 'studio-folder' }));
    expect((await response.json()).person.id).not.toBe('studio-folder');
  });
  test('guesses are counted: ten from one address, then none for a while', async () => {
    for (let n = 0; n < 10; n++)
      expect((await ask('api/join', json('POST', { code: `AAAA-000${n}` }))).status).toBe(403);
    const { code } = await makePass(studio.studio.store, { name: 'Ana', role: 'artist' }, now);
    const refused = await ask('api/join', json('POST', { code }));
    expect([refused.status, refused.headers.get('retry-after')]).toEqual([429, '600']);
    now += 61_000;
    expect((await ask('api/join', json('POST', { code }))).status).toBe(200);
  });
  // Expected: RFC 6265bis, 4.1.3.2: a name with `__Host-` can be set by this very host only.
  test('a planted cookie without the prefix says nothing, beside the right one or alone', async () => {
    const [ana, eve] = [await joined('Ana', 'artist'), await joined('Eve', 'director')];
    const planted = eve.cookie.replace('__Host-', '');
    const me = async (cookie: string) =>
      (await (await ask('api/me', { headers: { cookie } })).json()).person?.name;
    expect(await me(`${planted}; ${ana.cookie}`)).toBe('Ana');
    expect(await me(planted)).toBeUndefined();
  });
  test('a false length of one tablet leaves the upload of another as it is', async () => {
    const [ana, eve] = [await joined('Ana', 'artist'), await joined('Eve', 'artist')];
    const { bytes, ref } = picture(11, 1000);
    const path = `api/images/${ref.sha256}`;
    const piece = (cookie: string, range: string, body: Uint8Array<ArrayBuffer>): Promise<Response> =>
      ask(path, { method: 'PUT', headers: { cookie, 'content-range': range }, body });
    expect((await piece(ana.cookie, 'bytes 0-599/1000', bytes.slice(0, 600))).status).toBe(202);
    expect((await piece(eve.cookie, 'bytes 0-9/10', bytes.slice(0, 10))).status).toBe(422);
    const upload = await ask(`${path}/upload`, { headers: { cookie: ana.cookie } });
    expect(await upload.json()).toEqual({ whole: false, received: 600 });
    expect((await piece(ana.cookie, 'bytes 600-999/1000', bytes.slice(600))).status).toBe(201);
  });
  test('only the owner gives and takes passes; a revoked one is out at once, its stream too', async () => {
    const owner = await joined('Olga', 'director', true);
    const director = await joined('Dov', 'director');
    expect((await ask('api/passes', { headers: { cookie: director.cookie } })).status).toBe(403);
    const made = await ask(
      'api/passes',
      json('POST', { name: 'Inès', role: 'assistant' }, { cookie: owner.cookie }),
    );
    expect(await made.json()).toMatchObject({
      pass: { name: 'Inès', role: 'assistant', owner: false },
      code: expect.stringMatching(/^[0-9A-Z]{5}-[0-9A-Z]{5}$/),
      urls: ['https://studio.local:4173'],
    });
    const live = await ask('api/live', { headers: { cookie: director.cookie } });
    expect(
      (await ask(`api/passes/${director.pass.id}`, { method: 'DELETE', headers: { cookie: owner.cookie } }))
        .status,
    ).toBe(204);
    expect(await live.text()).toContain(': open');
    expect((await ask('api/shots', { headers: { cookie: director.cookie } })).status).toBe(401);
    const { passes } = await (await ask('api/passes', { headers: { cookie: owner.cookie } })).json();
    expect(passes).toHaveLength(3);
  });
  test('the owner’s code is new at each start until it is used', async () => {
    const [first, second] = [
      await ownerCode(studio.studio.store, now),
      await ownerCode(studio.studio.store, now),
    ];
    expect((await ask('api/join', json('POST', { code: first }))).status).toBe(403);
    expect((await ask('api/join', json('POST', { code: second }))).status).toBe(200);
    expect(await ownerCode(studio.studio.store, now)).toBeUndefined();
  });
});

describe('behind a proxy', () => {
  beforeEach(() => open({ needsPass: true, behindProxy: true }));
  const from = (address: string) => ({ 'x-forwarded-for': address });

  test.each([
    [{}, 421],
    [from('unknown'), 421],
    [from('203.0.113.9, 192.0.2.7'), 200],
    [from('2001:db8::7'), 200],
  ])('with %j as its headers the answer is %i', async (headers, status) =>
    expect((await ask('api/me', { headers })).status).toBe(status),
  );
  test('a hundred wrong codes from everywhere lock out nobody who has a right one', async () => {
    const guess = async (code: string, address: string): Promise<number> =>
      (await ask('api/join', json('POST', { code }, from(address)))).status;
    for (let n = 0; n < 120; n++) await guess('AAAA-AAAA', `192.0.2.${n}`);
    const { code } = await makePass(studio.studio.store, { name: 'Ana', role: 'artist' }, now);
    // One guess an address, now that there were so many.
    expect(await guess('AAAA-AAAA', '198.51.100.1')).toBe(403);
    expect(await guess('AAAA-AAAA', '198.51.100.1')).toBe(429);
    expect(await guess(code, '198.51.100.2')).toBe(200);
  });
  // RFC 6177: a site is given a /64 or more.
  test('all addresses of one IPv6 network guess as one', async () => {
    const statuses: number[] = [];
    for (let n = 0; n < 11; n++) {
      const headers = from(`2001:db8::${(n + 1).toString(16)}`);
      statuses.push((await ask('api/join', json('POST', { code: 'AAAA-AAAA' }, headers))).status);
    }
    expect(statuses).toEqual([...Array.from({ length: 10 }, () => 403), 429]);
  });
});

test('a client that asks too fast is asked to wait', async () => {
  await open({ limits: { requestBurst: 3, requestsPerSecond: 1 } });
  const statuses: number[] = [];
  for (let n = 0; n < 4; n++) statuses.push((await ask('api/me')).status);
  expect(statuses).toEqual([200, 200, 200, 429]);
  now += 1000;
  await vi.waitFor(async () => expect((await ask('api/me')).status).toBe(200), { timeout: 30_000 });
});

test('a bucket refills at its rate and holds no more than its burst (by hand)', async () => {
  await open();
  const limit = bucket(2, 1);
  const take = (key: string, nowMs: number): boolean => limit.take(key, nowMs);
  expect([take('a', 0), take('a', 0), take('a', 0), take('b', 0)]).toEqual([true, true, false, true]);
  expect([take('a', 999), take('a', 1000), take('a', 1001)]).toEqual([false, true, false]);
  expect([take('a', 60_000), take('a', 60_000), take('a', 60_000)]).toEqual([true, true, false]);
});
