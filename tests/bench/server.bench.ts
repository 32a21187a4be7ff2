/**
 * The studio server in a process of its own, over real connections on this machine: how fast it stores with
 * commit, how soon tablets hear of it, how long a first sync takes in a browser.
 */
import { rmSync } from 'node:fs';
import { request } from 'node:http';
import { join } from 'node:path';
import Database from 'libsql';
import { median } from '../../src/line/statistics.ts';
import { migrate } from '../../src/server/store/migrate.ts';
import { killServer, startServer } from '../fault/killed-server.ts';
import { temporaryFolder } from '../support/studio-server.ts';
import { buildSyncPage } from '../support/sync-page.ts';
import type { Row } from './row.ts';
import { agent, batchEntries, batchesOf, syncRows, type Text, throughServer } from './studio-load.ts';

const batches = 20;
const rounds = 5;
const tablets = 200;

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
