// Expected: the table in src/server/README.md, which is compared with the one here word for word; statuses of RFC 9110.
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { ApiNeeds } from '../../../src/server/api/needs.ts';
import { apiRoutes } from '../../../src/server/api/routes.ts';
import { usualLimits } from '../../../src/server/limits.ts';
import { makePass } from '../../../src/server/passes.ts';
import { memoryStore } from '../../../src/server/store/memory-store.ts';
import { ask, joined, json } from '../../support/ask-studio.ts';
import { ROOT } from '../../support/built-app.ts';
import { type TestStudio, testStudio } from '../../support/studio-server.ts';
import { dov, entry, pinBody } from '../note/make.ts';
import { picture } from '../sync/world.ts';

/** `one person`: a server for this machine alone, where nobody has or needs a pass. */
const people = ['no pass', 'revoked', 'artist', 'director', 'assistant', 'owner', 'one person'] as const;
type Who = (typeof people)[number];
type Answers = readonly [
  noPass: string,
  revoked: string,
  artist: string,
  director: string,
  assistant: string,
  owner: string,
  onePerson: string,
];

/** Statuses; of entries also what became of the one that was sent: `stored`, or the code of its refusal. */
const table: Readonly<Record<string, Answers>> = {
  'GET /': ['200', '200', '200', '200', '200', '200', '200'],
  'GET /healthz': ['200', '200', '200', '200', '200', '200', '200'],
  'GET /readyz': ['200', '200', '200', '200', '200', '200', '200'],
  'GET /api/me': ['200', '200', '200', '200', '200', '200', '200'],
  'POST /api/join': ['200', '200', '200', '200', '200', '200', '200'],
  'GET /api/live': ['401', '401', '200', '200', '200', '200', '200'],
  'GET /api/passes': ['401', '401', '403', '403', '403', '200', '403'],
  'POST /api/passes': ['401', '401', '403', '403', '403', '201', '403'],
  'DELETE /api/passes/:id': ['401', '401', '403', '403', '403', '204', '403'],
  'GET /api/shots': ['401', '401', '200', '200', '200', '200', '200'],
  'GET /api/images/:sha256': ['401', '401', '200', '200', '200', '200', '200'],
  'GET /api/images/:sha256/upload': ['401', '401', '200', '200', '200', '200', '200'],
  'PUT /api/images/:sha256': ['401', '401', '201', '201', '201', '201', '201'],
  'GET /api/entries': ['401', '401', '200', '200', '200', '200', '200'],
  'POST /api/entries': ['401', '401', 'stored', 'stored', 'stored', 'stored', 'stored'],
  'POST /api/entries, a role': ['401', '401', 'role', 'stored', 'stored', 'stored', 'stored'],
  'POST /api/entries, an approval': ['401', '401', 'role', 'stored', 'role', 'stored', 'stored'],
  'POST /api/entries, in another’s name': ['401', '401', 'writer', 'writer', 'writer', 'writer', 'stored'],
};

/** One person alone may call oneself what one likes; the table says what a director gets. */
const roles = {
  'no pass': 'artist',
  revoked: 'director',
  artist: 'artist',
  director: 'director',
  assistant: 'assistant',
  owner: 'director',
  'one person': 'director',
} as const;

interface Asker {
  readonly studio: TestStudio;
  readonly who: Who;
  readonly cookie: string;
  readonly writer: { id: string; name: string; role: 'artist' | 'director' | 'assistant' };
}
type Ask = (asker: Asker) => Promise<Response>;

const first = picture(1);
let serial = 0;

/** A request as the tablet of that person sends it when it is let: right in all but its sender. */
const get =
  (path: string): Ask =>
  ({ studio, cookie }) =>
    ask(studio, path, { headers: { cookie } });
const post =
  (write: (asker: Asker, id: string) => unknown): Ask =>
  (asker) =>
    ask(asker.studio, 'api/entries', {
      method: 'POST',
      headers: { 'content-type': 'application/x-ndjson', cookie: asker.cookie },
      body: JSON.stringify(write(asker, `entry-${++serial}`)),
    });
const freshPass = ({ studio }: Asker) =>
  makePass(studio.studio.store, { name: `New ${++serial}`, role: 'artist' }, Date.now());

const requests: Readonly<Record<string, Ask>> = {
  'GET /': get(''),
  'GET /healthz': get('healthz'),
  'GET /readyz': get('readyz'),
  'GET /api/me': get('api/me'),
  'POST /api/join': async (asker) =>
    ask(
      asker.studio,
      'api/join',
      json('POST', { code: (await freshPass(asker)).code }, { cookie: asker.cookie }),
    ),
  'GET /api/live': get('api/live'),
  'GET /api/passes': get('api/passes'),
  'POST /api/passes': ({ studio, cookie }) =>
    ask(studio, 'api/passes', json('POST', { name: 'Inès', role: 'artist' }, { cookie })),
  'DELETE /api/passes/:id': async (asker) =>
    ask(asker.studio, `api/passes/${(await freshPass(asker)).pass.id}`, {
      method: 'DELETE',
      headers: { cookie: asker.cookie },
    }),
  'GET /api/shots': get('api/shots'),
  'GET /api/images/:sha256': get(`api/images/${first.ref.sha256}`),
  'GET /api/images/:sha256/upload': get(`api/images/${first.ref.sha256}/upload`),
  'PUT /api/images/:sha256': ({ studio, cookie }) => {
    const { bytes, ref } = picture(100 + ++serial);
    return ask(studio, `api/images/${ref.sha256}`, { method: 'PUT', headers: { cookie }, body: bytes });
  },
  'GET /api/entries': get('api/entries?shot=shot-1'),
  'POST /api/entries': post(({ writer }, id) => entry(pinBody(), 1, writer, id)),
  'POST /api/entries, a role': post(({ writer }, id) =>
    entry({ kind: 'role', level: '', drawing: '1', role: 'key' }, 1, writer, id),
  ),
  'POST /api/entries, an approval': post(({ writer }, id) =>
    entry({ kind: 'state', to: 'a-note', state: 'approved' }, 1, writer, id),
  ),
  'POST /api/entries, in another’s name': post((_, id) => entry(pinBody(), 1, dov, id)),
};

describe('who gets which answer', () => {
  const askers = new Map<Who, Asker>();
  let [many, one]: TestStudio[] = [];
  beforeAll(async () => {
    [many, one] = [await testStudio({ needsPass: true }), await testStudio()];
    for (const who of people) {
      const studio = who === 'one person' ? one : many;
      const role = roles[who];
      const tablet = await joined(studio, who, role, who === 'owner');
      if (who === 'revoked') await studio.studio.store.revokePass(tablet.pass.id, Date.now());
      const cookie = who === 'no pass' || who === 'one person' ? '' : tablet.cookie;
      askers.set(who, { studio, who, cookie, writer: tablet.writer });
    }
    for (const who of ['owner', 'one person'] as const) {
      const asker = askers.get(who) as Asker;
      await fill(asker.studio, asker);
    }
  });
  afterAll(() => Promise.all([many?.close(), one?.close()]));

  test.each(Object.keys(table))('%s', async (row) => {
    const answers: string[] = [];
    for (const who of people) {
      const response = (await requests[row]?.(askers.get(who) as Asker)) as Response;
      answers.push(await outcome(row, response));
    }
    expect(answers).toEqual(table[row]);
  });
});

test('every route of the server stands in the table', () => {
  const routes = apiRoutes({ store: memoryStore(), limits: usualLimits } as unknown as ApiNeeds);
  const known = new Set(Object.keys(table));
  expect(routes.map(({ method, path }) => `${method} ${path}`).filter((route) => !known.has(route))).toEqual(
    [],
  );
  const built = new Set(routes.map(({ method, path }) => `${method} ${path}`));
  const gone = [...known].filter((row) => row.includes(' /api/') && !built.has(row.split(',')[0] ?? ''));
  expect(gone).toEqual([]);
});

test('the server’s README has the same table', async () => {
  const text = await readFile(join(ROOT, 'src/server/README.md'), 'utf8');
  const rows = text
    .split('\n')
    .map((line) => line.split('|').map((cell) => cell.trim().replaceAll('`', '')))
    .filter((cells) => cells.length === people.length + 3);
  expect(rows[0]?.slice(2, -1)).toEqual(people);
  expect(Object.fromEntries(rows.slice(2).map((cells) => [cells[1], cells.slice(2, -1)]))).toEqual(table);
});

/** A page and a picture: what the requests speak of. */
async function fill(studio: TestStudio, { cookie }: Asker): Promise<void> {
  const app = join(studio.folder, 'app');
  await mkdir(app);
  await writeFile(join(app, 'index.html'), '<p>page');
  const headers = { 'index.html': { 'content-type': 'text/html' } };
  await writeFile(join(app, 'headers.json'), JSON.stringify(headers));
  const { bytes, ref } = first;
  await ask(studio, `api/images/${ref.sha256}`, { method: 'PUT', headers: { cookie }, body: bytes });
}

async function outcome(row: string, response: Response): Promise<string> {
  if (row === 'GET /api/live') await response.body?.cancel();
  if (!row.startsWith('POST /api/entries') || response.status !== 200) return String(response.status);
  const { refused } = (await response.json()) as { refused: { code: string }[] };
  return refused[0]?.code ?? 'stored';
}
