/**
 * The HTTP interface of the studio server: whatever is sent, it answers below 500 or closes, soon, stays up, logs
 * nothing as a failure, and reads and writes nothing outside its folders.
 */
import { mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import * as fc from 'fast-check';
import { ask, json, rawClient } from '../support/ask-studio.ts';
import { type TestStudio, temporaryFolder, testStudio } from '../support/studio-server.ts';
import { picture, shotOf } from '../unit/sync/world.ts';
import { nearly } from './arbitraries.ts';
import type { Fuzz } from './fuzz.ts';
import { anyEntry, anyShot } from './made.ts';

/** Stands in files that no request may reach. */
const secret = 'canary-7f3a91';
const { bytes: file, ref } = picture(1, 900);
/** Slower is a hang: the body's silence is told after a second here. */
const patienceMs = 30_000;

const part = fc.oneof(
  fc.constantFrom(
    'api',
    'me',
    'join',
    'shots',
    'images',
    'entries',
    'passes',
    'live',
    'upload',
    'shot-1',
    ref.sha256,
    'f'.repeat(64),
    'index.html',
    'headers.json',
    'secret.txt',
    'data',
    'studio.sqlite',
    '..',
    '.',
    '%2e%2e',
    '..%2f..',
    '%2e%2e%2fsecret.txt',
    '..%5csecret.txt',
    '%00',
    '%',
    '%zz',
    '%ff',
    '',
    '*',
    '\\',
    '?',
    '#',
    '~',
    'é',
    '%F0%9F%98%80',
    'a'.repeat(5000),
  ),
  fc.string({ maxLength: 8 }),
);
const known = fc.constantFrom(
  '/api/me',
  '/api/join',
  '/api/shots',
  '/api/shots/shot-1',
  '/api/entries',
  '/api/entries?shot=shot-1',
  '/api/passes',
  `/api/images/${ref.sha256}`,
  `/api/images/${'e'.repeat(64)}`,
  `/api/images/${ref.sha256}/upload`,
  '/api/live',
  '/',
  '/index.html',
  '/healthz',
  '/readyz',
);
const query = fc
  .array(
    fc.tuple(
      fc.constantFrom('shot', 'after', 'limit', 'x', '__proto__'),
      fc.oneof(fc.string({ maxLength: 12 }), fc.integer().map(String)),
    ),
    { maxLength: 4 },
  )
  .map((pairs) =>
    pairs.length === 0
      ? ''
      : `?${pairs.map(([key, value]) => `${key}=${encodeURIComponent(value.replace(/[\ud800-\udfff]/gu, ''))}`).join('&')}`,
  );
const path = fc.oneof(
  { weight: 3, arbitrary: fc.tuple(known, query).map(([at, asked]) => at + asked) },
  {
    weight: 3,
    arbitrary: fc
      .tuple(fc.array(part, { maxLength: 5 }), query)
      .map(([parts, asked]) => `/${parts.join('/')}${asked}`),
  },
  { weight: 1, arbitrary: fc.string({ maxLength: 40 }) },
);
const method = fc.oneof(
  { weight: 6, arbitrary: fc.constantFrom('GET', 'HEAD', 'PUT', 'POST', 'DELETE') },
  {
    weight: 1,
    arbitrary: fc.constantFrom('PATCH', 'OPTIONS', 'TRACE', 'CONNECT', 'get', 'PROPFIND', 'NONSENSE', ''),
  },
);
const number = fc.oneof(
  fc.nat({ max: 2000 }).map(String),
  fc.constantFrom('-1', '', '9'.repeat(30), '1e3', '0x10', ' 5'),
);
const header = fc.oneof(
  fc.tuple(
    fc.constant('Content-Range'),
    fc.tuple(number, number, number).map(([a, b, c]) => `bytes ${a}-${b}/${c}`),
  ),
  fc.tuple(
    fc.constantFrom('Range', 'If-Range'),
    fc.tuple(number, number).map(([a, b]) => `bytes=${a}-${b}`),
  ),
  fc.tuple(
    fc.constant('Range'),
    fc.constantFrom('bytes=0-1,3-4', 'bytes=', 'pages=1-2', 'bytes=--', 'bytes=-0'),
  ),
  fc.tuple(
    fc.constantFrom('If-None-Match', 'If-Match'),
    fc.constantFrom('*', `"${ref.sha256}"`, '"', 'W/"x"', ',,'),
  ),
  fc.tuple(
    fc.constant('Cookie'),
    fc.constantFrom('fairpeg=', `fairpeg=${'x'.repeat(43)}`, '=;;=', 'fairpeg=a; fairpeg=b'),
  ),
  fc.tuple(
    fc.constant('Content-Type'),
    fc.constantFrom('application/json', 'application/x-ndjson', 'text/plain', '', 'a/b;c'),
  ),
  fc.tuple(fc.constant('Content-Length'), number),
  fc.tuple(
    fc.constantFrom(
      'Origin',
      'Sec-Fetch-Site',
      'X-Forwarded-For',
      'Expect',
      'Upgrade',
      'Accept-Encoding',
      'X-Any',
    ),
    fc.oneof(
      fc.constantFrom('null', 'same-origin', '100-continue', 'websocket', 'br', 'http://localhost'),
      fc.string({ maxLength: 20 }),
    ),
  ),
  fc.tuple(fc.constant('Transfer-Encoding'), fc.constantFrom('chunked', 'identity', 'gzip, chunked', 'x')),
  fc.tuple(fc.stringMatching(/^[A-Za-z-]{1,12}$/), fc.string({ maxLength: 30 })),
);
const body = fc.oneof(
  fc.constant(''),
  fc.constant(Buffer.from(file).toString('latin1')),
  fc.array(nearly(anyEntry), { maxLength: 3 }).map((all) => all.map((one) => JSON.stringify(one)).join('\n')),
  nearly(anyShot).map((shot) => JSON.stringify(shot) ?? ''),
  nearly(fc.constant({ code: 'AAAAA-AAAAA', person: 'person-1', name: 'Ana', role: 'artist' })).map(
    (value) => JSON.stringify(value) ?? '',
  ),
  fc.string({ maxLength: 100, unit: 'binary' }),
);

interface Asked {
  readonly method: string;
  readonly path: string;
  readonly host: boolean;
  readonly headers: readonly (readonly [string, string])[];
  readonly type: string;
  readonly body: string;
  readonly chunked: boolean;
}

const asked: fc.Arbitrary<Asked> = fc.record({
  method,
  path,
  host: fc.oneof({ weight: 9, arbitrary: fc.constant(true) }, { weight: 1, arbitrary: fc.constant(false) }),
  headers: fc.array(header, { maxLength: 4 }),
  type: fc.constantFrom('application/json', 'application/x-ndjson', ''),
  body,
  chunked: fc.boolean(),
});

/** The request's bytes. Its length is right unless a header says another. */
function written(request: Asked): string {
  const given = new Set(request.headers.map(([name]) => name.toLowerCase()));
  const content = Buffer.from(request.body.replace(/[\ud800-\udfff]/gu, '')).toString('latin1');
  const lines = request.headers.map(([name, value]) => `${name}: ${value.replace(/[\r\n\0]/g, ' ')}`);
  if (request.host) lines.push('Host: localhost');
  if (request.type !== '' && !given.has('content-type')) lines.push(`Content-Type: ${request.type}`);
  const framed = given.has('content-length') || given.has('transfer-encoding');
  const chunked = request.chunked && !framed;
  if (chunked) lines.push('Transfer-Encoding: chunked');
  else if (!framed) lines.push(`Content-Length: ${content.length}`);
  lines.push('Connection: close');
  const sent = chunked
    ? `${content === '' ? '' : `${content.length.toString(16)}\r\n${content}\r\n`}0\r\n\r\n`
    : content;
  const target = request.path.replace(/[\r\n]/g, '');
  return `${request.method} ${target} HTTP/1.1\r\n${lines.join('\r\n')}\r\n\r\n${sent}`;
}

/** What is wrong with how the server fared; undefined when nothing is. */
async function faultOf(studio: TestStudio, request: Asked): Promise<string | undefined> {
  const client = rawClient(studio, written(request));
  const late = new Promise<'late'>((resolve) => setTimeout(() => resolve('late'), patienceMs).unref());
  const streams = new Promise<'stream'>((resolve) => {
    client.socket.on('data', () => {
      if (client.said().includes('text/event-stream')) resolve('stream');
    });
  });
  const end = await Promise.race([client.closed, late, streams]);
  const said = client.said();
  client.socket.destroy();
  if (end === 'late') return `no end after ${patienceMs} ms; said: ${said.slice(0, 200)}`;
  const status = Number(/^HTTP\/1\.1 (\d{3}) /.exec(said)?.[1] ?? 0);
  // 100 comes before the answer proper, and is none.
  if (status >= 500) return `answered ${said.slice(0, 400)}`;
  if (said.includes(secret)) return 'gave out a file that it may not read';
  if (studio.log.length > 0) return `logged ${studio.log.join('; ')}`;
  const alive = await ask(studio, 'api/me');
  return alive.status === 200 ? undefined : `afterwards /api/me is ${alive.status}`;
}

export const http: Fuzz = {
  name: 'HTTP',
  tries: 300,
  async open() {
    const folder = temporaryFolder();
    const data = join(folder, 'data');
    // Put there by a server that is patient: to look at the first picture takes a while on a busy machine.
    const before = await testStudio({ data });
    await ask(before, `api/images/${ref.sha256}`, { method: 'PUT', body: file });
    await ask(before, 'api/shots/shot-1', json('PUT', shotOf([ref])));
    await before.close();
    const studio = await testStudio({
      data,
      limits: {
        silentMs: 1000,
        requestsPerSecond: 1e6,
        requestBurst: 1e6,
        guessesPerAddress: 1e6,
        guessesInAll: 1e6,
      },
    });
    const outside = join(folder, 'secret.txt');
    await writeFile(outside, secret);
    const app = join(studio.folder, 'app');
    await mkdir(app);
    await writeFile(join(app, 'index.html'), '<p>page');
    await writeFile(join(app, 'unlisted.txt'), secret);
    await writeFile(
      join(app, 'headers.json'),
      JSON.stringify({ 'index.html': { 'content-type': 'text/html' } }),
    );
    await writeFile(join(data, 'images/note.txt'), secret);
    const property = fc.asyncProperty(asked, async (request) => {
      const fault = await faultOf(studio, request);
      if (fault !== undefined) throw new Error(fault);
      return true;
    });
    return {
      property,
      async close() {
        const untouched = (await readFile(outside, 'utf8')) === secret;
        const kept = await ask(studio, `api/images/${ref.sha256}`);
        const same = Buffer.from(await kept.arrayBuffer()).equals(Buffer.from(file));
        await studio.close();
        await rm(folder, { recursive: true, force: true });
        if (!untouched) throw new Error('A file outside the folders was written.');
        if (!same) throw new Error('A picture that was kept changed.');
      },
    };
  },
};
