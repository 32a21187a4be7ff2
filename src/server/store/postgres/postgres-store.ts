/** The studio's store in PostgreSQL (14 or newer), for any number of server processes at one time. */
import { randomUUID } from 'node:crypto';
import { firstStamp } from '../../../note/clock.ts';
import type { Entry, Stamp } from '../../../note/entry.ts';
import { makesShot } from '../../../note/shot-of.ts';
import { Refusal } from '../../refusal.ts';
import { type StoreWatch, unwatched } from '../../watch.ts';
import { groupCommit, groupWatch } from '../group-commit.ts';
import { movedKey, refuseMoved } from '../moved.ts';
import { newsIn } from '../news.ts';
import { sameEntry } from '../same-entry.ts';
import type { Added, PaperShot, Stored, StudioStore, Written } from '../types.ts';
import { type Database, openDatabase, StoreError, unreachable } from './database.ts';
import { migrate } from './format.ts';
import { neighboursIn } from './neighbours.ts';
import { newsDesk } from './news.ts';
import { passesIn } from './passes.ts';
import { openSession } from './session.ts';

export interface PostgresOptions {
  /** How soon commits of other processes are found where no notification came. */
  readonly pollMs?: number;
  readonly log?: (line: string) => void;
  readonly watch?: StoreWatch;
}

/** Characters of one commit: a dozen notes of the largest size, or some thousands of usual ones. */
const mostChars = 16e6;

/** Rejects with one sentence when the database cannot be used, or was written by a later version. */
export async function postgresStore(url: string, options: PostgresOptions = {}): Promise<StudioStore> {
  const database = openDatabase(url);
  try {
    const client = database.client();
    client.on('error', () => undefined);
    try {
      await client.connect();
      await migrate(client);
      const { rows } = await client.query<{ value: string }>(
        'SELECT value FROM fairpeg.setting WHERE key = $1',
        [movedKey],
      );
      refuseMoved(rows[0]?.value, (sentence) => new StoreError(sentence));
    } finally {
      await client.end().catch(() => undefined);
    }
    return await storeOn(database, options);
  } catch (error) {
    await database.close();
    throw unreachable(url, error);
  }
}

interface Batch {
  readonly entries: readonly Written[];
  readonly passId: string | undefined;
}

async function storeOn(
  database: Database,
  { pollMs = 2000, log = () => undefined, watch = unwatched }: PostgresOptions,
): Promise<StudioStore> {
  const { query } = database;
  /** This process among those on the database. */
  const origin = randomUUID();
  const news = await newsDesk(database, watch);
  // Where the database is away there is nothing to hear, and the next poll asks again.
  const look = (): void => void news.look().catch(() => undefined);
  const session = await openSession({
    database,
    heard: (payload) => {
      if (payload !== origin) look();
    },
    beatMs: pollMs,
    log,
  });
  const poll = setInterval(look, pollMs).unref();
  const adding = adder(database, origin);
  const commits = groupCommit<Batch, Added[]>(
    async (batches) => {
      const startedMs = performance.now();
      const { added, stored } = await adding(batches);
      const [first, last] = [stored[0]?.seq, stored.at(-1)?.seq];
      if (first !== undefined && last !== undefined) {
        news.own(newsIn(stored), first, last);
        watch.hinted((performance.now() - startedMs) / 1000, true);
      }
      return added;
    },
    { weigh: ({ entries }) => entries.reduce((sum, { json }) => sum + json.length, 0), most: mostChars },
    groupWatch(watch),
  );

  return {
    add: (entries, passId) => commits.add({ entries, passId }),
    async find(ids) {
      const rows = await query<{ id: string; json: string }>(
        'SELECT id, json FROM fairpeg.entry WHERE id = ANY($1)',
        [ids],
      );
      return new Map(rows.map(({ id, json }) => [id, JSON.parse(json) as Entry]));
    },
    after: (shotId, seq, limit, chars) =>
      query<Stored>(
        `SELECT seq, json FROM (
           SELECT seq, json, sum(chars) OVER (ORDER BY seq) - chars AS before FROM (
             SELECT seq, json, chars FROM fairpeg.entry WHERE shot = $1 AND seq > $2 ORDER BY seq LIMIT $3
           ) AS few
         ) AS page WHERE $4::bigint IS NULL OR before < $4 ORDER BY seq`,
        [shotId, seq, limit, Number.isFinite(chars) ? chars : null],
      ),
    async newest() {
      const [row] = await query<{ newest: number }>(
        'SELECT coalesce(max(seq), 0) AS newest FROM fairpeg.entry',
      );
      return row?.newest ?? 0;
    },
    async last(shotId) {
      const [row] = await query<{ last: number }>('SELECT last FROM fairpeg.shot WHERE id = $1', [shotId]);
      return row?.last ?? 0;
    },
    async idAt(shotId, seq) {
      const [row] = await query<{ id: string }>('SELECT id FROM fairpeg.entry WHERE seq = $1 AND shot = $2', [
        seq,
        shotId,
      ]);
      return row?.id;
    },
    async latestStamp(shotId) {
      const [row] = await query<Stamp>(
        `SELECT wall_ms AS "wallMs", counter FROM fairpeg.entry WHERE shot = $1
         ORDER BY wall_ms DESC, counter DESC LIMIT 1`,
        [shotId],
      );
      return row ?? firstStamp;
    },
    onNews: async (tell) => news.listen(tell),

    async paperShots() {
      const rows = await query<PaperShot & { id: string }>(
        'SELECT id, paper, last, last_id AS "lastId" FROM fairpeg.shot WHERE paper IS NOT NULL',
      );
      return new Map(rows.map(({ id, ...shot }) => [id, shot]));
    },
    async paper(shotId) {
      const rows = await query<{ json: string }>(
        'SELECT json FROM fairpeg.entry WHERE shot = $1 AND paper ORDER BY seq',
        [shotId],
      );
      return rows.map(({ json }) => JSON.parse(json) as Entry);
    },
    async folders() {
      const rows = await query<{ name: string; shot: string }>('SELECT name, shot FROM fairpeg.folder');
      return new Map(rows.map(({ name, shot }) => [name, shot]));
    },
    async setFolder(name, shotId) {
      await query(
        'INSERT INTO fairpeg.folder (name, shot) VALUES ($1, $2) ON CONFLICT (name) DO UPDATE SET shot = excluded.shot',
        [name, shotId],
      );
    },
    watchesFolder: () => session.does('folder'),
    printsOwnerCode: () => session.does('owner'),
    neighbours: neighboursIn(database, origin),

    ...passesIn(database),
    async setting(key, make) {
      await query('INSERT INTO fairpeg.setting (key, value) VALUES ($1, $2) ON CONFLICT DO NOTHING', [
        key,
        make(),
      ]);
      const [row] = await query<{ value: string }>('SELECT value FROM fairpeg.setting WHERE key = $1', [key]);
      return row?.value ?? '';
    },
    async fault() {
      try {
        const [row] = await query<{ readonly: string }>(
          "SELECT current_setting('transaction_read_only') AS readonly",
        );
        return row?.readonly === 'on'
          ? 'The database takes no entries: it is a standby, or read only.'
          : undefined;
      } catch (error) {
        if (error instanceof Refusal) return 'The database cannot be reached.';
        throw error;
      }
    },
    async close() {
      clearInterval(poll);
      await commits.settled();
      await session.close();
      await database.close();
    },
  };
}

/** One commit of several batches, in one statement: `fairpeg.add` in `format.ts`. */
function adder(database: Database, origin: string) {
  return async (
    batches: readonly Batch[],
  ): Promise<{ added: Added[][]; stored: { entry: Entry; seq: number }[] }> => {
    /** The first of each id; what comes again is held against it here. */
    const first = new Map<string, Written & { readonly passId: string | undefined }>();
    for (const { entries, passId } of batches)
      for (const written of entries)
        if (!first.has(written.entry.id)) first.set(written.entry.id, { ...written, passId });
    const given = [...first.values()];
    const rows = await database.query<{ place: number | null; other: string | null }>(
      'SELECT place, other FROM fairpeg.add($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) ORDER BY nth',
      [
        given.map(({ entry }) => entry.id),
        given.map(({ entry }) => entry.shot),
        given.map(({ json }) => json),
        given.map(({ json }) => json.length),
        given.map(({ passId }) => passId ?? null),
        given.map(({ entry }) => makesShot(entry)),
        given.map(({ entry }) => entry.stamp.wallMs),
        given.map(({ entry }) => entry.stamp.counter),
        Date.now(),
        origin,
      ],
    );
    const stored: { entry: Entry; seq: number }[] = [];
    const fresh = new Set<string>();
    /** What is kept under each id now. */
    const texts = new Map<string, string>();
    for (const [n, { entry, json }] of given.entries()) {
      const { place, other } = rows[n] ?? { place: null, other: null };
      texts.set(entry.id, other ?? json);
      if (place === null) continue;
      stored.push({ entry, seq: place });
      fresh.add(entry.id);
    }
    const added = batches.map(({ entries }) =>
      entries.map(({ entry: { id }, json }): Added => {
        // Of several with one id, the first is the one that was stored.
        if (fresh.delete(id)) return { id, result: 'stored' };
        return { id, result: sameEntry(texts.get(id) ?? '', json) ? 'known' : 'clash' };
      }),
    );
    return { added, stored };
  };
}
