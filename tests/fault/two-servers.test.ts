// Expected: two server processes on one database are one studio, whatever becomes of one of them, of the database, and of
// the network between.
import { mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { Client } from 'pg';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { makePass } from '../../src/server/passes.ts';
import { postgresStore } from '../../src/server/store/postgres/postgres-store.ts';
import { freePort } from '../support/free-port.ts';
import { findPostgres, type OwnPostgres, startPostgres } from '../support/postgres.ts';
import { numbersFrom } from '../support/random.ts';
import { temporaryFolder } from '../support/studio-server.ts';
import { type Cable, cableTo } from './cable.ts';
import { killServer, type OwnServer, reply, startServer } from './killed-server.ts';

const found = findPostgres();
if ('lacking' in found) console.warn(found.lacking);
const seed = Number(process.env['SEED'] ?? 15);
const kills = Number(process.env['KILLS'] ?? 3);
/** Acknowledged at least, over all kills. */
const atLeast = Number(process.env['ENTRIES'] ?? 200);
/** Long enough for one machine that does much else. */
const patience = { timeout: 120_000, interval: 20 };

/** A tablet that has joined. */
interface Tablet {
  readonly name: string;
  readonly headers: Readonly<Record<string, string>>;
}

describe.skipIf('lacking' in found)('two servers on one PostgreSQL', () => {
  let postgres: OwnPostgres;
  let url = '';
  let data = '';
  const cables: Cable[] = [];
  const servers: OwnServer[] = [];
  /** Each by a cable of its own; behind a proxy, so that tablets need passes. */
  const start = (n: number, port = 0): Promise<OwnServer> =>
    startServer(data, port, [
      '--database',
      `postgresql://postgres@127.0.0.1:${cables[n]?.port}/house`,
      '--shots',
      join(data, 'no-shots'),
      '--behind',
      'http://studio.test',
    ]);
  const serverAt = (n: number): OwnServer => servers[n] as OwnServer;
  const at = (n: number, path: string): URL => new URL(path, `http://127.0.0.1:${ports[n]}/`);
  const ports: number[] = [];

  beforeAll(async () => {
    if ('lacking' in found) throw new Error(found.lacking);
    postgres = await startPostgres(found.programs);
    url = await postgres.database('house');
    data = temporaryFolder();
    mkdirSync(join(data, 'no-shots'));
    const folder = new URLSearchParams(url.split('?')[1]).get('host') ?? '';
    cables.push(await cableTo(join(folder, '.s.PGSQL.5432')), await cableTo(join(folder, '.s.PGSQL.5432')));
    ports.push(await freePort(), await freePort());
    servers.push(...(await Promise.all([0, 1].map((n) => start(n, ports[n])))));
  });
  afterAll(async () => {
    for (const server of servers) await killServer(server);
    for (const cable of cables) await cable.close();
    await postgres?.end();
    rmSync(data, { recursive: true, force: true });
  });

  const guess = (n: number, code: string, address: string, person?: string): Promise<Response> =>
    fetch(at(n, 'api/join'), {
      method: 'POST',
      headers: { 'content-type': 'application/json', 'x-forwarded-for': address },
      body: JSON.stringify(person === undefined ? { code } : { code, person }),
    });
  /** Joins at a server; its person’s id is `person-NAME`. */
  const joined = async (name: string, n: number, address: string): Promise<Tablet> => {
    const store = await postgresStore(url);
    const { code } = await makePass(store, { name, role: 'artist' }, Date.now());
    await store.close();
    const answer = await guess(n, code, address, `person-${name}`);
    expect(answer.status).toBe(200);
    const cookie = answer.headers.get('set-cookie')?.split(';')[0] ?? '';
    return { name, headers: { cookie, 'x-forwarded-for': address } };
  };
  /** Ids acknowledged; undefined when no whole answer came. */
  const post = async (n: number, { name, headers }: Tablet, ids: readonly string[]) => {
    try {
      const writer = { id: `person-${name}`, name, role: 'artist' as const };
      const response = await fetch(at(n, 'api/entries'), {
        method: 'POST',
        headers: { ...headers, 'content-type': 'application/x-ndjson' },
        body: ids.map((id, place) => JSON.stringify({ ...reply(id, place), writer })).join('\n'),
      });
      if (!response.ok) return undefined;
      const { accepted, refused } = (await response.json()) as { accepted: string[]; refused: unknown[] };
      expect(refused).toEqual([]);
      return accepted;
    } catch (error) {
      if (error instanceof TypeError || error instanceof SyntaxError) return undefined;
      throw error;
    }
  };
  const pull = async (n: number, { headers }: Tablet, after: number) => {
    const response = await fetch(at(n, `api/entries?shot=shot-1&after=${after}`), { headers });
    if (!response.ok) throw new Error(`${response.status}`);
    return (await response.json()) as { entries: { id: string }[]; cursor: number };
  };

  test('started together one prints the owner’s code, and the other says so', async () => {
    await vi.waitFor(() => {
      const said = servers.map((server) => server.said());
      const prints = said.map((text) => text.split('The owner joins with the code').length - 1);
      expect(prints.toSorted((a, b) => a - b)).toEqual([0, 1]);
      expect(said[prints.indexOf(0)]).toContain(
        'is printed by the server of this house that was started first',
      );
    }, patience);
  });

  test('wrong codes spread over both lock out at the same count as at one, sent all at once too', async () => {
    const answers = await Promise.all(
      Array.from({ length: 16 }, (_, n) => guess(n % 2, 'AAAAA-AAAAA', '203.0.113.7')),
    );
    const statuses = answers.map(({ status }) => status).toSorted((a, b) => a - b);
    // README: ten wrong codes from one address in ten minutes.
    expect(statuses).toEqual([...Array(10).fill(403), ...Array(6).fill(429)]);
    for (const n of [0, 1]) expect((await guess(n, 'BBBBB-BBBBB', '203.0.113.7')).status).toBe(429);
    // From elsewhere a right code lets in.
    await joined('elsewhere', 1, '203.0.113.8');
  });

  test('what is written at one is hinted at the other, and read there', async () => {
    const tablet = await joined('hinted', 0, '198.51.100.9');
    const me = await Promise.all(
      [0, 1].map(async (n) => (await fetch(at(n, 'api/me'), { headers: tablet.headers })).json()),
    );
    expect(me[0]).toEqual(me[1]);
    const listening = new AbortController();
    const live = await fetch(at(1, 'api/live'), { signal: listening.signal, headers: tablet.headers });
    const reader = (live.body as ReadableStream<Uint8Array>).getReader();
    expect(await post(0, tablet, ['hinted'])).toEqual(['hinted']);
    let heard = '';
    while (!heard.includes('"kind":"entries"')) {
      const { done, value } = await reader.read();
      if (done) break;
      heard += Buffer.from(value).toString();
    }
    listening.abort();
    const hint = JSON.parse(/data: (\{.*"entries".*\})/.exec(heard)?.[1] ?? '{}') as { last: number };
    expect(hint).toMatchObject({ kind: 'entries', shot: 'shot-1' });
    const page = await pull(1, tablet, hint.last - 1);
    expect(page.entries.map(({ id }) => id)).toEqual(['hinted']);
  });

  test(`servers and database killed, the network between them cut: nothing acknowledged is missing or twice, and every cursor is complete (seed ${seed})`, async () => {
    const random = numbersFrom(seed);
    const acknowledged = new Set<string>();
    let unanswered = 0;
    /** The tablets write nothing new; all of them have their answers. */
    const [end, allSent] = [new AbortController(), new AbortController()];
    const tablets = await Promise.all(
      [0, 1, 0, 1].map((home, n) => joined(`tablet${n}`, home, `198.51.100.${n + 1}`)),
    );
    /** Sends to one server, and to the other while that is away, as behind a proxy that tries the next. */
    const write = async (tablet: Tablet, home: number): Promise<void> => {
      for (let n = 0; !end.signal.aborted; n++) {
        const ids = Array.from(
          { length: 1 + Math.floor(random() * 9) },
          (_, k) => `${tablet.name}-${n}-${k}`,
        );
        for (let tries = 0, done = false; !done && !end.signal.aborted; tries++) {
          const accepted = await post((home + tries) % 2, tablet, ids);
          done = accepted !== undefined;
          if (!done) unanswered++;
          for (const id of accepted ?? []) acknowledged.add(id);
          // As many requests as a pass may keep up, and no more.
          await delay(30);
        }
      }
    };
    /** Follows with one cursor: at its own server, and at the other while that is away; `roams`: at both in turn. */
    const follow = async (tablet: Tablet, home: number, roams: boolean): Promise<string[]> => {
      const read: string[] = [];
      let wasLast = false;
      for (let [cursor, turn] = [0, home]; ; ) {
        const isLast = allSent.signal.aborted;
        const page = await pull(turn % 2, tablet, cursor).catch(() => undefined);
        for (const { id } of page?.entries ?? []) read.push(id);
        cursor = page?.cursor ?? cursor;
        if (page?.entries.length === 0 && wasLast) return read;
        if (page) wasLast = isLast;
        if (!page || roams) turn++;
        await delay(50);
      }
    };
    const following = tablets.map((tablet, n) => follow(tablet, n % 2, n > 1));
    const writing = tablets.map((tablet, n) => write(tablet, n % 2));
    const more = async (count: number): Promise<void> => {
      const before = acknowledged.size;
      while (acknowledged.size < before + count) await delay(5);
    };
    const did = { servers: 0, databases: 0, cuts: 0 };
    for (let n = 0; n < kills || acknowledged.size < atLeast; n++) {
      await more(20);
      await delay(random() * 60);
      const which = Math.floor(random() * 2);
      if (n % 3 === 1) {
        await postgres.kill();
        await delay(random() * 200);
        await postgres.start();
        did.databases++;
        continue;
      }
      if (n % 3 === 0) {
        cables[1 - which]?.cut(random() < 0.5 ? 'refused' : 'silent');
        // The other goes on meanwhile.
        await more(20);
        cables[1 - which]?.mend();
        did.cuts++;
        await more(20);
      }
      await killServer(serverAt(which));
      await more(20);
      servers[which] = await start(which, ports[which]);
      did.servers++;
    }
    end.abort();
    await Promise.all(writing);
    allSent.abort();
    const reads = await Promise.all(following);
    const asking = new Client(url);
    await asking.connect();
    const { rows } = await asking.query<{ id: string }>(
      "SELECT id FROM fairpeg.entry WHERE shot = 'shot-1' ORDER BY seq",
    );
    await asking.end();
    const stored = rows.map(({ id }) => id);
    expect(new Set(stored).size).toBe(stored.length);
    const there = new Set(stored);
    expect([...acknowledged].filter((id) => !there.has(id))).toEqual([]);
    for (const read of reads) expect(read).toEqual(stored);
    process.stdout.write(
      `seed ${seed}: ${did.servers} servers and ${did.databases} times the database killed, ${did.cuts} times the network cut; ${acknowledged.size} entries acknowledged, ${stored.length} stored, none missing, none twice; ${unanswered} requests unanswered, ${reads.length} cursors complete\n`,
    );
  }, 3_600_000);
});
