/**
 * The studio server in a process of its own, over real connections on this machine: how fast it stores with
 * commit, how soon tablets hear of it, how long a first sync takes.
 */
import { rmSync } from 'node:fs';
import { Agent, request } from 'node:http';
import { join } from 'node:path';
import Database from 'libsql';
import type { Entry } from '../../src/note/entry.ts';
import { memoryShelf } from '../../src/shelf/memory-shelf.ts';
import { pullShot } from '../../src/sync/pull.ts';
import { studioAt } from '../../src/sync/studio.ts';
import { killServer, startServer } from '../fault/killed-server.ts';
import { temporaryFolder } from '../support/studio-server.ts';
import type { Row } from './row.ts';

const batchEntries = 200;
const batches = 40;
const clients = 4;
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

const notes = (name: string, shot: string, count: number): Entry[] =>
  Array.from({ length: count }, (_, n) => note(`${name}-${n}`, shot, n));

/** Seconds that bare inserts of the same entries take, as many a commit, under the same commit rule. */
function bareInserts(folder: string, all: readonly Entry[]): number {
  const db = new Database(join(folder, 'bare.sqlite'));
  db.pragma('journal_mode = WAL');
  db.pragma('synchronous = FULL');
  db.exec(
    'CREATE TABLE entry (seq INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, shot TEXT NOT NULL, json TEXT NOT NULL)',
  );
  const insert = db.prepare('INSERT INTO entry (id, shot, json) VALUES (?, ?, ?)');
  const start = performance.now();
  for (let at = 0; at < all.length; at += batchEntries) {
    db.exec('BEGIN IMMEDIATE');
    for (const entry of all.slice(at, at + batchEntries))
      insert.run(entry.id, entry.shot, JSON.stringify(entry));
    db.exec('COMMIT');
  }
  const seconds = (performance.now() - start) / 1000;
  db.close();
  return seconds;
}

/** Seconds until the last of them is acknowledged, sent by a few tablets at once. */
async function throughServer(url: URL, all: readonly Entry[]): Promise<number> {
  const bodies: string[] = [];
  for (let at = 0; at < all.length; at += batchEntries) {
    bodies.push(JSON.stringify({ entries: all.slice(at, at + batchEntries) }));
  }
  const queue = bodies.values();
  const start = performance.now();
  await Promise.all(
    Array.from({ length: clients }, async () => {
      for (const body of queue) await post(url, body);
    }),
  );
  return (performance.now() - start) / 1000;
}

const agent = new Agent({ keepAlive: true, maxSockets: tablets + clients });

async function post(url: URL, body: string): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    const headers = { 'content-type': 'application/json', 'content-length': Buffer.byteLength(body) };
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
  await post(url, JSON.stringify({ entries: notes('hint', 'shot-hint', 1) }));
  await Promise.all(heard);
  const ms = performance.now() - start;
  for (const asked of open) asked.destroy();
  return ms;
}

/** Seconds a tablet with an empty shelf takes to have all notes of a shot. */
async function firstSync(url: URL, shot: string, count: number): Promise<number> {
  for (let at = 0; at < count; at += batchEntries) {
    const entries = notes(shot, shot, count).slice(at, at + batchEntries);
    await post(url, JSON.stringify({ entries }));
  }
  const shelf = memoryShelf();
  const studio = studioAt(url, (input, init) => fetch(input, init));
  const start = performance.now();
  await pullShot(shelf, studio, 'bench', shot);
  const seconds = (performance.now() - start) / 1000;
  const got = (await shelf.entries(shot)).length;
  if (got !== count) throw new Error(`The tablet has ${got} of ${count} notes.`);
  return seconds;
}

export async function rows(): Promise<Row[]> {
  const folder = temporaryFolder();
  const server = await startServer(folder);
  try {
    const count = batchEntries * batches;
    // Warm-up of both, and of the disk.
    bareInserts(temporaryFolder(), notes('warm', 'warm', batchEntries * 4));
    await throughServer(server.url, notes('warm', 'warm', batchEntries * 4));
    const bare = count / bareInserts(folder, notes('bare', 'bare', count));
    const stored = count / (await throughServer(server.url, notes('server', 'server', count)));
    const small = await firstSync(server.url, 'small', 500);
    const large = await firstSync(server.url, 'large', 5000);
    const lastHintMs = await hintAll(server.url);
    return [
      { name: 'entries stored with commit, through the server', value: stored, unit: '1/s' },
      { name: 'bare inserts, same commit rule and entries a commit', value: bare, unit: '1/s' },
      { name: 'server against bare inserts', value: stored / bare, unit: '×', limit: 0.5, atLeast: true },
      { name: `hint to the last of ${tablets} tablets`, value: lastHintMs, unit: 'ms' },
      { name: 'first sync of 500 notes', value: small * 1000, unit: 'ms' },
      { name: 'first sync of 5,000 notes', value: large * 1000, unit: 'ms' },
      { name: 'first sync, time a note: 5,000 against 500', value: large / 10 / small, unit: '×', limit: 2 },
    ];
  } finally {
    agent.destroy();
    await killServer(server);
    rmSync(folder, { recursive: true, force: true });
  }
}
