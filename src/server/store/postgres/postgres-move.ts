/** A PostgreSQL database, as one side of a move. */
import { setTimeout as delay } from 'node:timers/promises';
import type { Client } from 'pg';
import type { Entry } from '../../../note/entry.ts';
import type { EntryRow, PassRow, SmallRows, Source, Target } from '../move.ts';
import { movedKey, refuseMoved } from '../moved.ts';
import { openDatabase, StoreError, unreachable } from './database.ts';
import { locks, migrate } from './format.ts';

/** Rejects with one sentence when it cannot be used, was moved before, or a server runs on it. */
export async function postgresSource(url: string): Promise<Source> {
  return onDatabase(url, async (client, close) => {
    const note = await movedNote(client);
    refuseMoved(note, (sentence) => new StoreError(sentence));
    return {
      ...reading(client),
      async noteMoved(text) {
        await client.query('INSERT INTO fairpeg.setting VALUES ($1, $2)', [movedKey, text]);
        await client.query('COMMIT');
      },
      close,
    };
  });
}

/** Rejects with one sentence when it cannot be used or is not empty. */
export async function postgresTarget(url: string): Promise<Target> {
  return onDatabase(url, async (client, close) => {
    const { rows } = await client.query<{ used: boolean }>(
      `SELECT EXISTS (SELECT 1 FROM fairpeg.entry) OR EXISTS (SELECT 1 FROM fairpeg.pass)
         OR EXISTS (SELECT 1 FROM fairpeg.setting) AS used`,
    );
    if (rows[0]?.used)
      throw new StoreError('The database holds a studio already. Give an empty one; nothing was moved.');
    return {
      ...reading(client),
      async putEntries(entries) {
        const parsed = entries.map(({ json }) => JSON.parse(json) as Entry);
        await client.query(
          `INSERT INTO fairpeg.entry (seq, id, shot, json, chars, pass, received_ms, paper, wall_ms, counter)
           SELECT * FROM unnest($1::bigint[], $2::text[], $3::text[], $4::text[], $5::int[], $6::text[], $7::bigint[],
             $8::boolean[], $9::bigint[], $10::bigint[])`,
          [
            entries.map(({ seq }) => seq),
            entries.map(({ id }) => id),
            entries.map(({ shot }) => shot),
            entries.map(({ json }) => json),
            entries.map(({ json }) => json.length),
            entries.map(({ pass }) => pass),
            entries.map(({ receivedMs }) => receivedMs),
            entries.map(({ isPaper }) => isPaper),
            parsed.map(({ stamp }) => stamp.wallMs),
            parsed.map(({ stamp }) => stamp.counter),
          ],
        );
      },
      async putSmall({ passes, folders, settings }) {
        for (const one of passes)
          await client.query('INSERT INTO fairpeg.pass VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)', [
            one.id,
            one.name,
            one.role,
            one.isOwner,
            one.person,
            one.code,
            one.token,
            one.madeMs,
            one.joinedMs,
            one.revokedMs,
          ]);
        for (const { name, shot } of folders)
          await client.query('INSERT INTO fairpeg.folder VALUES ($1, $2)', [name, shot]);
        for (const { key, value } of settings)
          await client.query('INSERT INTO fairpeg.setting VALUES ($1, $2)', [key, value]);
      },
      async keep() {
        await client.query('SELECT fairpeg.tell_shots(0)');
        await client.query('COMMIT');
        await client.query('ANALYZE fairpeg.entry');
      },
      close,
    };
  });
}

/** With a transaction open that sees one state of the database, which no server uses meanwhile. */
async function onDatabase<T>(
  url: string,
  make: (client: Client, close: () => Promise<void>) => Promise<T>,
): Promise<T> {
  const database = openDatabase(url);
  const client = database.client();
  client.on('error', () => undefined);
  const close = async (): Promise<void> => {
    // What is not committed by then is rolled back by PostgreSQL.
    await client.end().catch(() => undefined);
    await database.close();
  };
  try {
    await client.connect();
    if (!(await isAlone(client)))
      throw new StoreError(
        'A studio server runs on the database. Stop all of them first; nothing was moved.',
      );
    await migrate(client);
    await client.query('BEGIN ISOLATION LEVEL REPEATABLE READ');
    return await make(client, close);
  } catch (error) {
    await close();
    throw unreachable(url, error);
  }
}

/** A server that was stopped just now is gone for PostgreSQL a moment later. */
const goneMs = 5000;

async function isAlone(client: Client): Promise<boolean> {
  for (const startedMs = performance.now(); ; ) {
    const { rows } = await client.query<{ alone: boolean }>('SELECT pg_try_advisory_lock($1) AS alone', [
      locks.present,
    ]);
    if (rows[0]?.alone || performance.now() - startedMs > goneMs) return rows[0]?.alone === true;
    await delay(100);
  }
}

async function movedNote(client: Client): Promise<string | undefined> {
  const { rows } = await client.query<{ value: string }>('SELECT value FROM fairpeg.setting WHERE key = $1', [
    movedKey,
  ]);
  return rows[0]?.value;
}

function reading(client: Client) {
  return {
    entries: async (seq: number, limit: number): Promise<EntryRow[]> =>
      (
        await client.query<EntryRow>(
          `SELECT seq, id, shot, json, pass, received_ms AS "receivedMs", paper AS "isPaper"
           FROM fairpeg.entry WHERE seq > $1 ORDER BY seq LIMIT $2`,
          [seq, limit],
        )
      ).rows,
    small: async (): Promise<SmallRows> => ({
      // By bytes, as SQLite sorts.
      passes: (
        await client.query<PassRow>(
          `SELECT id, name, role, owner AS "isOwner", person, code, token, made_ms AS "madeMs", joined_ms AS "joinedMs",
             revoked_ms AS "revokedMs" FROM fairpeg.pass ORDER BY id COLLATE "C"`,
        )
      ).rows,
      folders: (
        await client.query<{ name: string; shot: string }>(
          'SELECT name, shot FROM fairpeg.folder ORDER BY name COLLATE "C"',
        )
      ).rows,
      settings: (
        await client.query<{ key: string; value: string }>(
          'SELECT key, value FROM fairpeg.setting WHERE key <> $1 ORDER BY key COLLATE "C"',
          [movedKey],
        )
      ).rows,
    }),
  };
}
