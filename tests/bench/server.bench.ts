/**
 * The studio server in a process of its own, over real connections on this machine: how fast it stores with
 * commit, how soon tablets hear of it, how long a first sync takes in a browser.
 */
import { rmSync } from 'node:fs';
import { Agent, request } from 'node:http';
import { join } from 'node:path';
import Database from 'libsql';
import { median } from '../../src/line/statistics.ts';
import type { Entry } from '../../src/note/entry.ts';
import { migrate } from '../../src/server/store/migrate.ts';
import { killServer, startServer } from '../fault/killed-server.ts';
import { launchKept, until } from '../support/browser.ts';
import { temporaryFolder } from '../support/studio-server.ts';
import { buildSyncPage } from '../support/sync-page.ts';
import type { Row } from './row.ts';

const batchEntries = 200;
const batches = 20;
const rounds = 5;
const tablets = 200;

/** A note of usual size: three strokes of a hundred points. */
function note(id: string, shot: string, at: number): Entry {
  const points = Array.from({ length: 300 }, (_, n) => (n % 3 === 2 ? 0.5 : 100 + ((n * 37 + at) % 800)));
  return {
    v: 1,
    id,
    shot,
    writer: { id: 'person-1', name: 'Ana', role: 'director' },
    stamp: { wallMs: at, counter: 0 },
    body: {
      kind: 'pin',
      level: '',
      drawing: '12',
      drawings: ['12'],
      image: 'a'.repeat(64),
      sizePx: [1920, 1080],
      at: [400, 250],
      strokes: [1, 2, 3].map((widthPx) => ({ colour: 'red' as const, widthPx, points })),
      about: 'volume',
      text: 'The cheek swells here; take the line in by its own width.',
    },
  };
}

interface Text {
  readonly id: string;
  readonly json: string;
}

/** Notes as texts, in batches: each batch is one request, and one commit of the bare inserts. */
function batchesOf(name: string, shot: string, count: number): Text[][] {
  const texts = Array.from({ length: count }, (_, n) => {
    const id = `${name}-${n}`;
    return { id, json: JSON.stringify(note(id, shot, n)) };
  });
  return Array.from({ length: Math.ceil(count / batchEntries) }, (_, n) =>
    texts.slice(n * batchEntries, (n + 1) * batchEntries),
  );
}

/**
 * Seconds that bare inserts of the same texts take in the same library, into the same table of a file of
 * their own, under the same commit rule: a transaction a batch. Nothing is parsed, checked or written anew.
 */
function bareInserts(file: string, shot: string, all: readonly Text[][]): number {
  const db = new Database(file);
  db.pragma('journal_mode = WAL');
  db.pragma('synchronous = FULL');
  migrate(db, file);
  const insert = db.prepare('INSERT INTO entry (id, shot, json, received_ms) VALUES (?, ?, ?, 0)');
  const start = performance.now();
  for (const batch of all) {
    db.exec('BEGIN IMMEDIATE');
    for (const { id, json } of batch) insert.run(id, shot, json);
    db.exec('COMMIT');
  }
  const seconds = (performance.now() - start) / 1000;
  db.close();
  return seconds;
}

/** Seconds until the last batch is acknowledged, sent by so many tablets at once, each one after the other. */
async function throughServer(url: URL, all: readonly Text[][], senders: number): Promise<number> {
  const queue = all.map(bodyOf).values();
  const start = performance.now();
  await Promise.all(
    Array.from({ length: senders }, async () => {
      for (const body of queue) await post(url, body);
    }),
  );
  return (performance.now() - start) / 1000;
}

const bodyOf = (batch: readonly Text[]): Buffer => Buffer.from(batch.map(({ json }) => json).join('\n'));

const agent = new Agent({ keepAlive: true, maxSockets: tablets });

async function post(url: URL, body: Buffer): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    const headers = { 'content-type': 'application/x-ndjson', 'content-length': body.length };
    const asked = request(new URL('api/entries', url), { method: 'POST', agent, headers }, (response) => {
      response
        .resume()
        .on('end', () =>
          response.statusCode === 200 ? resolve() : reject(new Error(`${response.statusCode}`)),
        );
    });
    asked.on('error', reject).end(body);
  });
}

/** Milliseconds from sending a note until the last of many listening tablets has its hint. */
async function hintAll(url: URL): Promise<number> {
  const open: { destroy(): void }[] = [];
  const heard: Promise<void>[] = [];
  for (let n = 0; n < tablets; n++) {
    await new Promise<void>((opened, reject) => {
      const asked = request(new URL('api/live', url), (response) => {
        if (response.statusCode !== 200)
          reject(new Error(`Stream ${n} was answered ${response.statusCode}.`));
        const told = new Promise<void>((hear) => {
          response.on('data', (piece: Buffer) => {
            const text = String(piece);
            if (text.includes(': open')) opened();
            if (text.includes('"entries"')) hear();
          });
        });
        heard.push(told);
      });
      asked.on('error', reject).end();
      open.push(asked);
    });
  }
  const start = performance.now();
  await throughServer(url, batchesOf('hint', 'shot-hint', 1), 1);
  await Promise.all(heard);
  const ms = performance.now() - start;
  for (const asked of open) asked.destroy();
  return ms;
}

/**
 * Milliseconds that an empty tablet (a browser of its own, its shelf on the disk) takes to have all notes of a shot.
 * Not in a private context: that one keeps its databases in memory, where each commit costs more the more is kept.
 */
async function firstSync(url: URL, shot: string, count: number): Promise<number> {
  const folder = temporaryFolder();
  const tablet = await launchKept(folder);
  try {
    const page = await tablet.newPage();
    await page.goto(new URL(`?shot=${shot}`, url).href);
    await until(page, () => 'tablet' in globalThis);
    const ms = await page.evaluate(() => globalThis.tablet.firstSync);
    const got = await page.evaluate(async () => (await globalThis.tablet.ids()).length);
    if (got !== count) throw new Error(`The tablet has ${got} of ${count} notes.`);
    return ms;
  } finally {
    await tablet.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

async function syncRows(url: URL): Promise<Row[]> {
  const medianMs = async (shot: string, count: number): Promise<number> => {
    await throughServer(url, batchesOf(shot, shot, count), 1);
    const times: number[] = [];
    for (let n = 0; n < 3; n++) times.push(await firstSync(url, shot, count));
    return median(times);
  };
  // An empty shot costs what any start costs.
  const none = await medianMs('none', 0);
  const small = await medianMs('small', 500);
  const large = await medianMs('large', 5000);
  return [
    { name: 'first sync of 500 notes in a browser', value: small, unit: 'ms' },
    { name: 'first sync of 5,000 notes in a browser', value: large, unit: 'ms' },
    // Ten times as many notes: 1 is linear, 10 would be quadratic.
    {
      name: 'the same without a start’s own time, a note: 5,000 against 500',
      value: (large - none) / (10 * (small - none)),
      unit: '×',
      limit: 1.5,
    },
  ];
}

export async function rows(): Promise<Row[]> {
  const folder = temporaryFolder();
  const app = join(folder, 'app');
  await buildSyncPage(app);
  const server = await startServer(folder, 0, ['--app', app]);
  try {
    const count = batchEntries * batches;
    const seconds: Record<'bare' | 'alone' | 'four', number[]> = { bare: [], alone: [], four: [] };
    // In turns, so that a busy machine is busy for all; the first round warms up.
    for (let round = 0; round <= rounds; round++) {
      const bare = bareInserts(
        join(folder, 'bare.sqlite'),
        'bare',
        batchesOf(`bare-${round}`, 'bare', count),
      );
      const alone = await throughServer(server.url, batchesOf(`alone-${round}`, 'alone', count), 1);
      const four = await throughServer(server.url, batchesOf(`four-${round}`, 'four', count), 4);
      if (round === 0) continue;
      seconds.bare.push(bare);
      seconds.alone.push(alone);
      seconds.four.push(four);
    }
    const rate = (of: readonly number[]): number => count / median(of);
    const against = median(seconds.alone.map((s, n) => (seconds.bare[n] ?? NaN) / s));
    return [
      { name: 'entries stored with commit, sent by one tablet', value: rate(seconds.alone), unit: '1/s' },
      { name: 'entries stored with commit, sent by four at once', value: rate(seconds.four), unit: '1/s' },
      {
        name: 'bare inserts of the same texts into the same table, as many a commit',
        value: rate(seconds.bare),
        unit: '1/s',
      },
      // One tablet alone: no two requests can share a commit, so both sides commit every 200 entries.
      { name: 'server against bare inserts', value: against, unit: '×', limit: 0.5, atLeast: true },
      { name: `hint to the last of ${tablets} tablets`, value: await hintAll(server.url), unit: 'ms' },
      ...(await syncRows(server.url)),
    ];
  } finally {
    agent.destroy();
    await killServer(server);
    rmSync(folder, { recursive: true, force: true });
  }
}
