/**
 * A house of two servers on one PostgreSQL (the bench's own, files brought to the disk): how fast entries are stored with
 * commit, how soon the last of a thousand tablets hears of one, what a tablet that listens costs, and whether all that
 * grows in step with the tablets.
 */
import { createHash, randomBytes } from 'node:crypto';
import { readFileSync, rmSync } from 'node:fs';
import { type ClientRequest, request } from 'node:http';
import { join } from 'node:path';
import { Client } from 'pg';
import { median } from '../../src/line/statistics.ts';
import { postgresStore } from '../../src/server/store/postgres/postgres-store.ts';
import { killServer, type OwnServer, startServer } from '../fault/killed-server.ts';
import { freePort } from '../support/free-port.ts';
import { installedPostgres, type OwnPostgres, startPostgres } from '../support/postgres.ts';
import { temporaryFolder } from '../support/studio-server.ts';
import { buildSyncPage } from '../support/sync-page.ts';
import type { Row } from './row.ts';
import { agent, batchEntries, batchesOf, syncRows, type Text, throughServer } from './studio-load.ts';

const batches = 15;
const rounds = 5;
const [few, many] = [250, 1000];

/** The same client and the same commit rule: a transaction a batch, the database waits for the disk. */
async function bareInserts(url: string, all: readonly Text[][], insert: Insert): Promise<number> {
  const client = new Client({ connectionString: url, options: '-c synchronous_commit=on' });
  await client.connect();
  const { rows } = await client.query<{ last: string }>(
    'SELECT coalesce(max(seq), 0) AS last FROM fairpeg.entry',
  );
  let seq = Number(rows[0]?.last ?? 0);
  const start = performance.now();
  for (const batch of all) {
    await client.query('BEGIN');
    await insert(client, batch, seq + 1);
    await client.query('COMMIT');
    seq += batch.length;
  }
  const seconds = (performance.now() - start) / 1000;
  await client.end();
  return seconds;
}
type Insert = (client: Client, batch: readonly Text[], firstSeq: number) => Promise<void>;

const columns =
  'INSERT INTO fairpeg.entry (seq, id, shot, json, chars, received_ms, paper, wall_ms, counter)';
const oneByOne: Insert = async (client, batch, firstSeq) => {
  for (const [n, { id, json }] of batch.entries())
    await client.query(`${columns} VALUES ($1, $2, 'bare', $3, $4, 0, false, 0, 0)`, [
      firstSeq + n,
      id,
      json,
      json.length,
    ]);
};
const inOneStatement: Insert = async (client, batch, firstSeq) => {
  await client.query(
    `${columns} SELECT $1::bigint + n - 1, id, 'bare', json, length(json), 0, false, 0, 0
     FROM unnest($2::text[], $3::text[]) WITH ORDINALITY AS given (id, json, n)`,
    [firstSeq, batch.map(({ id }) => id), batch.map(({ json }) => json)],
  );
};

async function storedRows(postgres: OwnPostgres, server: URL): Promise<Row[]> {
  const bareUrl = await postgres.database('bare');
  await (await postgresStore(bareUrl)).close();
  const count = batchEntries * batches;
  const seconds: Record<'single' | 'whole' | 'alone' | 'four', number[]> = {
    single: [],
    whole: [],
    alone: [],
    four: [],
  };
  // In turns, so that a busy machine is busy for all; the first round warms up.
  for (let round = 0; round <= rounds; round++) {
    const of = (name: string): Text[][] => batchesOf(`${name}-${round}`, name, count);
    const times = {
      single: await bareInserts(bareUrl, of('single'), oneByOne),
      whole: await bareInserts(bareUrl, of('whole'), inOneStatement),
      alone: await throughServer(server, of('alone'), 1),
      four: await throughServer(server, of('four'), 4),
    };
    if (round > 0)
      for (const key of ['single', 'whole', 'alone', 'four'] as const) seconds[key].push(times[key]);
  }
  const rate = (of: readonly number[]): number => count / median(of);
  const against = (of: readonly number[]): number =>
    median(seconds.alone.map((s, n) => (of[n] ?? Number.NaN) / s));
  return [
    {
      name: 'house: entries stored with commit, sent by one tablet',
      value: rate(seconds.alone),
      unit: '1/s',
    },
    {
      name: 'house: entries stored with commit, sent by four at once',
      value: rate(seconds.four),
      unit: '1/s',
    },
    {
      name: 'house: bare inserts of the same texts, as many a commit',
      value: rate(seconds.single),
      unit: '1/s',
    },
    // One tablet alone: no two requests can share a commit, so both sides commit every 200 entries.
    {
      name: 'house: server against bare inserts',
      value: against(seconds.single),
      unit: '×',
      limit: 0.5,
      atLeast: true,
    },
    {
      name: 'house: server against one bare statement a commit',
      value: against(seconds.whole),
      unit: '×',
    },
  ];
}

/** Passes of so many people who have joined, as the headers of their tablets. A hundred share an address. */
async function passesFor(url: string, count: number): Promise<Record<string, string>[]> {
  const store = await postgresStore(url);
  const digest = (text: string): string => createHash('sha256').update(text).digest('hex');
  const headers: Record<string, string>[] = [];
  for (let n = 0; n < count; n++) {
    const [code, token] = [`code-${n}`, randomBytes(32).toString('base64url')];
    await store.makePass(
      {
        id: `pass-${n}`,
        name: n === 0 ? 'Ana' : `Tablet ${n}`,
        role: n === 0 ? 'director' : 'artist',
        owner: false,
        personId: undefined,
        madeMs: Date.now(),
        joinedMs: undefined,
        revokedMs: undefined,
      },
      code,
    );
    await store.join({
      codeHash: code,
      tokenHash: digest(token),
      personId: n === 0 ? 'person-1' : `person-of-${n}`,
      otherId: `other-${n}`,
      nowMs: Date.now(),
      maxAgeMs: 86_400_000,
      guesses: { from: '192.0.2.1', perAddress: 10, inAll: 100 },
    });
    headers.push({ cookie: `fairpeg=${token}`, 'x-forwarded-for': `198.51.100.${1 + Math.floor(n / 100)}` });
  }
  await store.close();
  return headers;
}

interface Listening {
  /** Resolves at the next hint of entries. */
  next(): Promise<void>;
  end(): void;
}

function listen(url: URL, headers: Record<string, string>): Promise<Listening> {
  return new Promise((opened, failed) => {
    let hear: () => void = () => undefined;
    const asked: ClientRequest = request(new URL('api/live', url), { headers }, (response) => {
      if (response.statusCode !== 200) failed(new Error(`A stream was refused: ${response.statusCode}`));
      response.on('error', () => undefined);
      response.on('data', (piece: Buffer) => {
        const text = String(piece);
        if (text.includes(': open'))
          opened({
            next: () =>
              new Promise<void>((resolve) => {
                hear = resolve;
              }),
            end: () => asked.destroy(),
          });
        if (text.includes('"entries"')) hear();
      });
    });
    asked.on('error', failed).end();
  });
}

/** Resident memory, KB, as Linux tells it. */
const residentKb = (servers: readonly OwnServer[]): number =>
  servers.reduce((sum, { process: { pid } }) => {
    const status = readFileSync(`/proc/${pid}/status`, 'utf8');
    return sum + Number(/VmRSS:\s+(\d+)/.exec(status)?.[1]);
  }, 0);

async function tabletRows(postgres: OwnPostgres, folder: string): Promise<Row[]> {
  const url = await postgres.database('tablets');
  const ports = [await freePort(), await freePort()];
  const more = ['--database', url, '--behind', 'http://studio.test'];
  const servers = await Promise.all(ports.map((port) => startServer(join(folder, 'tablets'), port, more)));
  const at = (n: number): URL => new URL(`http://127.0.0.1:${ports[n % 2]}/`);
  const listening: Listening[] = [];
  try {
    const headers = await passesFor(url, many);
    let sent = 0;
    const hintMs = async (): Promise<number> => {
      const heard = listening.map((tablet) => tablet.next());
      const start = performance.now();
      await throughServer(at(0), batchesOf(`hint-${sent++}`, 'shot-hint', 1), 1, headers[0]);
      await Promise.all(heard);
      return performance.now() - start;
    };
    const measured: { ms: number; kb: number }[] = [];
    await throughServer(at(0), batchesOf('warm', 'shot-warm', 1), 1, headers[0]);
    const emptyKb = residentKb(servers);
    for (const tablets of [few, many]) {
      while (listening.length < tablets)
        listening.push(await listen(at(listening.length), headers[listening.length] ?? {}));
      const kb = residentKb(servers) - emptyKb;
      const times: number[] = [];
      for (let n = 0; n < 5; n++) times.push(await hintMs());
      measured.push({ ms: median(times), kb });
    }
    const [small, large] = measured as [{ ms: number; kb: number }, { ms: number; kb: number }];
    return [
      { name: `house: hint to the last of ${few} tablets over two servers`, value: small.ms, unit: 'ms' },
      { name: 'house: hint to the last of 1,000 tablets over two servers', value: large.ms, unit: 'ms' },
      // Four times as many: 1 is linear, 4 would be quadratic.
      {
        name: 'house: the same, a tablet: 1,000 against 250',
        value: large.ms / small.ms / (many / few),
        unit: '×',
        limit: 1.5,
      },
      { name: 'house: memory of a stream, with 1,000 open', value: large.kb / many, unit: 'KB' },
      {
        name: 'house: the same: 1,000 against 250',
        value: large.kb / many / (small.kb / few),
        unit: '×',
        limit: 1.5,
      },
    ];
  } finally {
    for (const tablet of listening) tablet.end();
    for (const server of servers) await killServer(server);
  }
}

export async function rows(): Promise<Row[]> {
  const found = installedPostgres();
  if ('lacking' in found) throw new Error(found.lacking);
  const folder = temporaryFolder();
  const postgres = await startPostgres(found.programs);
  try {
    const app = join(folder, 'app');
    await buildSyncPage(app);
    const url = await postgres.database('stored');
    const server = await startServer(join(folder, 'stored'), 0, ['--database', url, '--app', app]);
    try {
      return [
        ...(await storedRows(postgres, server.url)),
        ...(await tabletRows(postgres, folder)),
        ...(await syncRows(server.url, ', from PostgreSQL')),
      ];
    } finally {
      await killServer(server);
    }
  } finally {
    agent.destroy();
    await postgres.end();
    rmSync(folder, { recursive: true, force: true });
  }
}
