// Expected: two server processes on one database are one studio, whatever becomes of one of them.
import { mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { Client } from 'pg';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { findPostgres, type OwnPostgres, startPostgres } from '../support/postgres.ts';
import { numbersFrom } from '../support/random.ts';
import { temporaryFolder } from '../support/studio-server.ts';
import { killServer, type OwnServer, reply, startServer } from './killed-server.ts';

const found = findPostgres();
if ('lacking' in found) console.warn(found.lacking);
const seed = Number(process.env['SEED'] ?? 15);
const kills = Number(process.env['KILLS'] ?? 3);
/** Acknowledged at least, over all kills. */
const atLeast = Number(process.env['ENTRIES'] ?? 200);

describe.skipIf('lacking' in found)('two servers on one PostgreSQL', () => {
  let postgres: OwnPostgres;
  let url = '';
  let data = '';
  const servers: OwnServer[] = [];
  const start = (port = 0): Promise<OwnServer> =>
    startServer(data, port, ['--database', url, '--shots', join(data, 'no-shots')]);
  const serverAt = (n: number): OwnServer => servers[n] as OwnServer;

  beforeAll(async () => {
    if ('lacking' in found) throw new Error(found.lacking);
    postgres = await startPostgres(found.programs);
    url = await postgres.database('house');
    data = temporaryFolder();
    mkdirSync(join(data, 'no-shots'));
    servers.push(...(await Promise.all([start(), start()])));
  });
  afterAll(async () => {
    for (const server of servers) await killServer(server);
    await postgres?.end();
    rmSync(data, { recursive: true, force: true });
  });

  /** Ids acknowledged; undefined when no whole answer came. */
  const post = async ({ url: at }: OwnServer, ids: readonly string[]): Promise<string[] | undefined> => {
    try {
      const response = await fetch(new URL('api/entries', at), {
        method: 'POST',
        headers: { 'content-type': 'application/x-ndjson' },
        body: ids.map((id, n) => JSON.stringify(reply(id, n))).join('\n'),
      });
      return response.ok ? ((await response.json()) as { accepted: string[] }).accepted : undefined;
    } catch {
      return undefined;
    }
  };
  const pull = async ({ url: at }: OwnServer, after: number) =>
    (await (await fetch(new URL(`api/entries?shot=shot-1&after=${after}`, at))).json()) as {
      entries: { id: string }[];
      cursor: number;
    };

  test('what is written at one is hinted at the other, and read there', async () => {
    const [one, two] = [serverAt(0), serverAt(1)];
    const me = await Promise.all(
      [one, two].map(async (server) => (await fetch(new URL('api/me', server.url))).json()),
    );
    expect(me[0]).toEqual(me[1]);
    const listening = new AbortController();
    const live = await fetch(new URL('api/live', two.url), { signal: listening.signal });
    const reader = (live.body as ReadableStream<Uint8Array>).getReader();
    expect(await post(one, ['hinted'])).toEqual(['hinted']);
    let heard = '';
    while (!heard.includes('"kind":"entries"')) {
      const { done, value } = await reader.read();
      if (done) break;
      heard += Buffer.from(value).toString();
    }
    listening.abort();
    const hint = JSON.parse(/data: (\{.*"entries".*\})/.exec(heard)?.[1] ?? '{}') as { last: number };
    expect(hint).toMatchObject({ kind: 'entries', shot: 'shot-1' });
    const page = await pull(two, hint.last - 1);
    expect(page.entries.map(({ id }) => id)).toEqual(['hinted']);
  });

  test(`one killed, over and over: nothing acknowledged is missing or twice, and no cursor skips (seed ${seed})`, async () => {
    const random = numbersFrom(seed);
    const acknowledged = new Set<string>();
    /** The clients send nothing new; all of them have their answers. */
    const [end, allSent] = [new AbortController(), new AbortController()];
    /** Sends to one server, and to the other while that is away, as behind a proxy that tries the next. */
    const client = async (name: string, home: number): Promise<void> => {
      for (let n = 0; !end.signal.aborted; n++) {
        const ids = Array.from({ length: 1 + Math.floor(random() * 5) }, (_, k) => `${name}-${n}-${k}`);
        for (let tries = 0, done = false; !done && !end.signal.aborted; tries++) {
          const accepted = await post(serverAt((home + tries) % 2), ids);
          done = accepted !== undefined;
          for (const id of accepted ?? []) acknowledged.add(id);
        }
      }
    };
    /** Follows at both servers in turn, with one cursor. */
    const follower = async (): Promise<string[]> => {
      const read: string[] = [];
      let wasLast = false;
      for (let [cursor, turn] = [0, 0]; ; turn++) {
        const page = await pull(serverAt(turn % 2), cursor).catch(() => undefined);
        for (const { id } of page?.entries ?? []) read.push(id);
        cursor = page?.cursor ?? cursor;
        if (page?.entries.length === 0 && wasLast) return read;
        if (page) wasLast = allSent.signal.aborted;
        else await new Promise((resolve) => setTimeout(resolve, 20));
      }
    };
    const following = follower();
    const clients = [0, 1, 0, 1].map((home, n) => client(`client${n}`, home));
    for (let n = 0; n < kills || acknowledged.size < atLeast; n++) {
      const before = acknowledged.size;
      while (acknowledged.size < before + 20) await new Promise((resolve) => setTimeout(resolve, 5));
      await new Promise((resolve) => setTimeout(resolve, random() * 60));
      const which = n % 2;
      await killServer(serverAt(which));
      const other = acknowledged.size;
      // The other goes on meanwhile.
      while (acknowledged.size < other + 20) await new Promise((resolve) => setTimeout(resolve, 5));
      servers[which] = await start(Number(serverAt(which).url.port));
    }
    end.abort();
    await Promise.all(clients);
    allSent.abort();
    const read = await following;
    const asking = new Client(url);
    await asking.connect();
    const { rows } = await asking.query<{ id: string }>('SELECT id FROM fairpeg.entry ORDER BY seq');
    await asking.end();
    const stored = rows.map(({ id }) => id);
    expect(new Set(stored).size).toBe(stored.length);
    const there = new Set(stored);
    expect([...acknowledged].filter((id) => !there.has(id))).toEqual([]);
    expect(read).toEqual(stored);
    process.stdout.write(
      `seed ${seed}: ${acknowledged.size} entries acknowledged by two servers, ${stored.length} stored, none missing\n`,
    );
  }, 3_600_000);
});
