/** The database's format, as consecutive steps. A step, once released, is never changed. */
import type { Client } from 'pg';
import { StoreError } from './database.ts';
import { sharedLimits } from './shared-limits.ts';

/** Advisory locks, which hold within one database. */
export const locks = {
  /** Held while entries are added: see `steps`. */
  add: 7_318_101,
  /** Held while the format is brought up to date. */
  format: 7_318_102,
  /** Held by the process that watches the shots folder, as long as its session lasts. */
  folder: 7_318_103,
  /** Held by all processes together, and by a move alone: nothing is moved under a running server. */
  present: 7_318_104,
  /** Held by the process that prints the owner's code, as long as its session lasts. */
  owner: 7_318_105,
} as const;

/** The channel on which a commit is told to the other processes. */
export const channel = 'fairpeg';

/**
 * 1: entries, shots, passes. 2: limits that hold over all servers (`shared-limits.ts`).
 *
 * **A cursor never skips a commit.** A tablet that has read up to place N never looks below N again, so an entry must not
 * become visible at a place below one that was visible before. Numbers of a sequence are given at the insert, and of two
 * transactions the one with the greater number may commit first. Here:
 *
 * 1. `add` takes the advisory lock first, and it is held to the end of its transaction. So of two transactions that
 *    add, T1 and T2, one (T2) gets the lock after the other has ended.
 * 2. PostgreSQL makes a transaction visible before it lets go of its locks (`CommitTransaction` in `xact.c`:
 *    `ProcArrayEndTransaction`, then `ResourceOwnerRelease` of the locks). So when T2 gets the lock, T1 is visible to
 *    every statement that starts from then on, or was rolled back and is visible to none, ever.
 * 3. Under READ COMMITTED each statement of a volatile function sees what was committed when that statement started. So
 *    the `max(seq)` of T2 counts T1's entries, and T2's places lie above all that are or will be visible from before it.
 * 4. A reader that sees an entry of T2 started its statement after T2 became visible, which is after T1 did. So it sees
 *    all entries with lower places. A standby too: it applies commits in the order of the log, T1's before T2's.
 *
 * Entries are never deleted, so `max(seq)` never gives a place twice; and a place that somebody wrote past the lock
 * would break the primary key, and no cursor. The function is one statement to its caller: no process holds the lock over
 * a question to it, and one that is stopped or cut off holds nobody up.
 *
 * The planner is kept to the index: at a table that was small when the plan was made, it would read all of it.
 */
const steps: readonly string[] = [
  `CREATE TABLE fairpeg.entry (
     seq BIGINT PRIMARY KEY,
     id TEXT NOT NULL UNIQUE,
     shot TEXT NOT NULL,
     json TEXT NOT NULL,
     chars INTEGER NOT NULL,
     pass TEXT,
     received_ms BIGINT NOT NULL,
     paper BOOLEAN NOT NULL,
     wall_ms BIGINT NOT NULL,
     counter BIGINT NOT NULL
   );
   CREATE INDEX entry_of_shot ON fairpeg.entry (shot, seq);
   CREATE INDEX paper_of_shot ON fairpeg.entry (shot, seq) WHERE paper;
   CREATE TABLE fairpeg.shot (
     id TEXT PRIMARY KEY,
     last BIGINT NOT NULL,
     last_id TEXT NOT NULL,
     paper BIGINT
   );
   CREATE TABLE fairpeg.folder (name TEXT PRIMARY KEY, shot TEXT NOT NULL);
   CREATE TABLE fairpeg.pass (
     id TEXT PRIMARY KEY,
     name TEXT NOT NULL,
     role TEXT NOT NULL,
     owner BOOLEAN NOT NULL,
     person TEXT,
     code TEXT UNIQUE,
     token TEXT UNIQUE,
     made_ms BIGINT NOT NULL,
     joined_ms BIGINT,
     revoked_ms BIGINT
   );
   CREATE TABLE fairpeg.setting (key TEXT PRIMARY KEY, value TEXT NOT NULL);

   -- The shots of which entries lie beyond a place, told anew.
   CREATE FUNCTION fairpeg.tell_shots(beyond BIGINT) RETURNS void LANGUAGE sql AS $$
     INSERT INTO fairpeg.shot AS s (id, last, last_id, paper)
     SELECT shot, max(seq), (array_agg(id ORDER BY seq DESC))[1], max(seq) FILTER (WHERE paper)
     FROM fairpeg.entry WHERE seq > beyond GROUP BY shot
     ON CONFLICT (id) DO UPDATE SET
       last = excluded.last, last_id = excluded.last_id, paper = coalesce(excluded.paper, s.paper);
   $$;

   -- Each given entry's place where it was stored now; of one known before, its text where that differs.
   CREATE FUNCTION fairpeg.add(
     ids TEXT[], shots TEXT[], jsons TEXT[], chars INTEGER[], passes TEXT[], papers BOOLEAN[],
     walls BIGINT[], counters BIGINT[], now_ms BIGINT, origin TEXT
   ) RETURNS TABLE (nth BIGINT, place BIGINT, other TEXT) LANGUAGE plpgsql VOLATILE
     SET enable_seqscan = off SET enable_hashjoin = off SET enable_mergejoin = off
   AS $$
   DECLARE
     start BIGINT;
   BEGIN
     IF current_setting('transaction_isolation') <> 'read committed' THEN
       RAISE EXCEPTION 'fairpeg.add wants READ COMMITTED: it would not see what the lock waited for';
     END IF;
     PERFORM pg_advisory_xact_lock(${locks.add});
     SELECT coalesce(max(e.seq), 0) INTO start FROM fairpeg.entry e;
     RETURN QUERY
       WITH judged AS MATERIALIZED (
         SELECT g.*, e.json AS known,
           CASE WHEN e.id IS NULL THEN start + count(*) FILTER (WHERE e.id IS NULL) OVER (ORDER BY g.n) END AS place
         FROM unnest(ids, shots, jsons, chars, passes, papers, walls, counters)
           WITH ORDINALITY AS g (id, shot, json, chars, pass, paper, wall, counter, n)
         LEFT JOIN fairpeg.entry e ON e.id = g.id
       ), stored AS (
         INSERT INTO fairpeg.entry (seq, id, shot, json, chars, pass, received_ms, paper, wall_ms, counter)
         SELECT j.place, j.id, j.shot, j.json, j.chars, j.pass, now_ms, j.paper, j.wall, j.counter
         FROM judged j WHERE j.place IS NOT NULL ORDER BY j.place
       )
       SELECT j.n, j.place, CASE WHEN j.known <> j.json THEN j.known END FROM judged j ORDER BY j.n;
     IF EXISTS (SELECT 1 FROM fairpeg.entry e WHERE e.seq > start) THEN
       PERFORM fairpeg.tell_shots(start);
       PERFORM pg_notify('${channel}', origin);
     END IF;
   END $$;

   -- Joins take turns, so that no two persons get one id.
   CREATE FUNCTION fairpeg.use_code(
     code_hash TEXT, token_hash TEXT, person_id TEXT, other_id TEXT, now_ms BIGINT, made_after_ms BIGINT
   ) RETURNS SETOF fairpeg.pass LANGUAGE plpgsql VOLATILE AS $$
   BEGIN
     LOCK TABLE fairpeg.pass IN SHARE ROW EXCLUSIVE MODE;
     RETURN QUERY
       UPDATE fairpeg.pass p SET token = token_hash, joined_ms = now_ms, code = NULL,
         person = coalesce(p.person, CASE
           WHEN EXISTS (SELECT 1 FROM fairpeg.pass o WHERE o.person = person_id) THEN other_id ELSE person_id END)
       WHERE p.code = code_hash AND p.revoked_ms IS NULL AND p.made_ms > made_after_ms
       RETURNING p.*;
   END $$;`,
  sharedLimits,
];

/** Brings the database to the newest format, each step in a transaction of its own; of many processes one does it. */
export async function migrate(client: Client): Promise<void> {
  // The lock is the session's: where the process dies, it goes with it.
  await client.query('SELECT pg_advisory_lock($1)', [locks.format]);
  try {
    await client.query('CREATE SCHEMA IF NOT EXISTS fairpeg');
    await client.query('CREATE TABLE IF NOT EXISTS fairpeg.format (version INTEGER NOT NULL)');
    const { rows } = await client.query<{ version: number }>('SELECT version FROM fairpeg.format');
    const version = rows[0]?.version ?? 0;
    if (version > steps.length) {
      throw new StoreError(
        'The database was written by a later version of Fairpeg; nothing was changed. Start that version, or give another database.',
      );
    }
    for (const [index, step] of steps.entries()) {
      if (index < version) continue;
      await inTransaction(client, async () => {
        await client.query(step);
        await client.query('DELETE FROM fairpeg.format');
        await client.query('INSERT INTO fairpeg.format VALUES ($1)', [index + 1]);
      });
    }
  } finally {
    await client.query('SELECT pg_advisory_unlock($1)', [locks.format]);
  }
}

/** All of it, or nothing. */
export async function inTransaction<T>(client: Client, work: () => Promise<T>): Promise<T> {
  await client.query('BEGIN');
  try {
    const result = await work();
    await client.query('COMMIT');
    return result;
  } catch (error) {
    await client.query('ROLLBACK').catch(() => undefined);
    throw error;
  }
}
