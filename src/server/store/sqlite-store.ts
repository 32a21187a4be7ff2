/** The studio's store in one SQLite file: WAL, `synchronous=FULL`, so what was committed survives a power cut. */
import { accessSync, constants } from 'node:fs';
import Database from 'libsql';
import { firstStamp } from '../../note/clock.ts';
import type { Entry, Stamp } from '../../note/entry.ts';
import { makesShot } from '../../note/shot-of.ts';
import { explainFullDisk } from '../refusal.ts';
import { type StoreWatch, unwatched } from '../watch.ts';
import { groupCommit, groupWatch } from './group-commit.ts';
import { countingGuesses } from './guesses.ts';
import { migrate } from './migrate.ts';
import { movedKey, refuseMoved } from './moved.ts';
import { newsIn } from './news.ts';
import { sameEntry } from './same-entry.ts';
import { inTransaction } from './transaction.ts';
import type { Added, News, PaperShot, Pass, Stored, StudioStore, Written } from './types.ts';

const rowsAtOnce = 50;

interface PassRow {
  id: string;
  name: string;
  role: Pass['role'];
  owner: number;
  person: string | null;
  made_ms: number;
  joined_ms: number | null;
  revoked_ms: number | null;
}

/**
 * Opens or makes the file. Throws one sentence for a file of a later version. `maxPages` bounds it (of
 * 4096 bytes each); beyond, writing is refused as on a full disk.
 */
export function sqliteStore(
  file: string,
  { maxPages, watch = unwatched }: { maxPages?: number; watch?: StoreWatch } = {},
): StudioStore {
  const db = new Database(file);
  db.pragma('journal_mode = WAL');
  db.pragma('synchronous = FULL');
  // The command line may write passes while the server runs.
  db.pragma('busy_timeout = 5000');
  migrate(db, file);
  try {
    const moved = db.prepare('SELECT value FROM setting WHERE key = ?').all(movedKey) as { value: string }[];
    refuseMoved(moved[0]?.value);
  } catch (error) {
    db.close();
    throw error;
  }
  if (maxPages !== undefined) db.pragma(`max_page_count = ${maxPages}`);

  const insert = db.prepare(
    'INSERT INTO entry (id, shot, json, pass, received_ms, paper) VALUES (?, ?, ?, ?, ?, ?)',
  );
  const known = db.prepare('SELECT id, json FROM entry WHERE id IN (SELECT value FROM json_each(?))');
  const afterSeq = db.prepare('SELECT seq, json FROM entry WHERE shot = ? AND seq > ? ORDER BY seq LIMIT ?');
  const lastRow = db.prepare('SELECT seq, id FROM entry WHERE shot = ? ORDER BY seq DESC LIMIT 1');
  const newestRow = db.prepare('SELECT coalesce(max(seq), 0) FROM entry').pluck();
  const rowAt = db.prepare('SELECT id FROM entry WHERE seq = ? AND shot = ?');
  const stampRow = db.prepare(
    `SELECT json_extract(json, '$.stamp.wallMs') AS wallMs, json_extract(json, '$.stamp.counter') AS counter
     FROM entry WHERE shot = ? ORDER BY wallMs DESC, counter DESC LIMIT 1`,
  );
  const paperOf = db.prepare('SELECT json FROM entry WHERE shot = ? AND paper = 1 ORDER BY seq');
  const tokenRow = db.prepare('SELECT * FROM pass WHERE token = ? AND revoked_ms IS NULL');

  /** Those known among them, in one question however many they are. */
  const textsOf = (ids: readonly string[]): Map<string, string> =>
    new Map(
      (known.all(JSON.stringify(ids)) as { id: string; json: string }[]).map(({ id, json }) => [id, json]),
    );
  type StoredNow = { readonly entry: Entry; readonly seq: number; readonly isPaper: boolean };
  type Batch = { entries: readonly Written[]; passId: string | undefined };
  /** Each shot's last entry that makes it. Nothing else writes entries into this file. */
  const lastPaper = new Map(
    (
      db.prepare('SELECT shot, max(seq) AS last FROM entry WHERE paper = 1 GROUP BY shot').all() as {
        shot: string;
        last: number;
      }[]
    ).map(({ shot, last }) => [shot, last]),
  );
  const addAll = (batches: readonly Batch[]): { added: Added[][]; stored: StoredNow[] } => {
    const nowMs = Date.now();
    const stored: StoredNow[] = [];
    const texts = textsOf(batches.flatMap(({ entries }) => entries.map(({ entry }) => entry.id)));
    const addOne = ({ entry, json }: Written, passId: string | undefined): Added => {
      const { id, shot } = entry;
      const text = texts.get(id);
      if (text !== undefined) return { id, result: sameEntry(text, json) ? 'known' : 'clash' };
      const isPaper = makesShot(entry);
      const { lastInsertRowid } = insert.run(id, shot, json, passId ?? null, nowMs, Number(isPaper));
      stored.push({ entry, seq: Number(lastInsertRowid), isPaper });
      texts.set(id, json);
      return { id, result: 'stored' };
    };
    const added = batches.map(({ entries, passId }) => entries.map((written) => addOne(written, passId)));
    return { added, stored };
  };
  const listeners: ((news: News) => void)[] = [];
  const lastOf = (shotId: string) => lastRow.get(shotId) as { seq: number; id: string } | undefined;
  const passOfToken = (tokenHash: string): Pass | undefined => {
    const row = tokenRow.get(tokenHash) as PassRow | undefined;
    return row && toPass(row);
  };
  const add = (batches: readonly Batch[]): Added[][] => {
    const startedMs = performance.now();
    try {
      const { added, stored } = inTransaction(db, () => addAll(batches));
      for (const { entry, seq, isPaper } of stored) if (isPaper) lastPaper.set(entry.shot, seq);
      for (const news of newsIn(stored)) for (const tell of listeners) tell(news);
      if (stored.length > 0) watch.hinted((performance.now() - startedMs) / 1000, true);
      return added;
    } catch (error) {
      throw explainFullDisk(error);
    }
  };
  const commits = groupCommit<Batch, Added[]>(add, undefined, groupWatch(watch));

  return {
    add: (entries, passId) => commits.add({ entries, passId }),
    find: async (ids) => new Map([...textsOf(ids)].map(([id, json]) => [id, JSON.parse(json) as Entry])),
    async after(shotId, seq, limit, chars = Number.POSITIVE_INFINITY) {
      const found: Stored[] = [];
      let room = chars;
      for (let place = seq; found.length < limit && room > 0; ) {
        // A few at a time, so that a page of long ones is not read whole to be cut.
        const wanted = Math.min(rowsAtOnce, limit - found.length);
        const rows = afterSeq.all(shotId, place, wanted) as Stored[];
        for (const row of rows) {
          if (room > 0) found.push(row);
          room -= row.json.length;
          place = row.seq;
        }
        if (rows.length < wanted) break;
      }
      return found;
    },
    newest: async () => one(newestRow) as number,
    last: async (shotId) => lastOf(shotId)?.seq ?? 0,
    idAt: async (shotId, seq) => (rowAt.get(seq, shotId) as { id: string } | undefined)?.id,
    async latestStamp(shotId) {
      const { wallMs, counter } = (stampRow.get(shotId) as Stamp | undefined) ?? firstStamp;
      return { wallMs, counter };
    },
    async onNews(tell) {
      listeners.push(tell);
    },

    async paperShots() {
      const shots = new Map<string, PaperShot>();
      for (const [shot, paper] of lastPaper) {
        const { seq: last, id: lastId } = lastOf(shot) ?? { seq: 0, id: '' };
        shots.set(shot, { paper, last, lastId });
      }
      return shots;
    },
    paper: async (shotId) =>
      (paperOf.all(shotId) as { json: string }[]).map(({ json }) => JSON.parse(json) as Entry),
    folders: async () =>
      new Map(
        (db.prepare('SELECT name, shot FROM folder').all() as { name: string; shot: string }[]).map(
          ({ name, shot }) => [name, shot],
        ),
      ),
    async setFolder(name, shotId) {
      db.prepare(
        'INSERT INTO folder (name, shot) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET shot = excluded.shot',
      ).run(name, shotId);
    },
    watchesFolder: async () => true,
    printsOwnerCode: async () => true,

    passes: async () =>
      (db.prepare('SELECT * FROM pass ORDER BY made_ms, id').all() as PassRow[]).map(toPass),
    async makePass(pass, codeHash) {
      db.prepare(
        'INSERT INTO pass (id, name, role, owner, person, code, made_ms) VALUES (?, ?, ?, ?, ?, ?, ?)',
      ).run(pass.id, pass.name, pass.role, Number(pass.owner), pass.personId ?? null, codeHash, pass.madeMs);
    },
    join: countingGuesses(({ codeHash, tokenHash, personId, otherId, nowMs, maxAgeMs }) => {
      // One statement: nobody takes the person's id between the question and the answer.
      const { changes } = db
        .prepare(
          `UPDATE pass SET token = ?, joined_ms = ?, code = NULL,
             person = coalesce(person, CASE WHEN EXISTS (SELECT 1 FROM pass WHERE person = ?) THEN ? ELSE ? END)
           WHERE code = ? AND revoked_ms IS NULL AND made_ms > ?`,
        )
        .run(tokenHash, nowMs, personId, otherId, personId, codeHash, nowMs - maxAgeMs);
      return changes === 1 ? passOfToken(tokenHash) : undefined;
    }),
    passOfToken: async (tokenHash) => passOfToken(tokenHash),
    revokePass: async (id, nowMs) =>
      db
        .prepare(
          'UPDATE pass SET revoked_ms = ?, token = NULL, code = NULL WHERE id = ? AND revoked_ms IS NULL',
        )
        .run(nowMs, id).changes === 1,

    async setting(key, make) {
      db.prepare('INSERT INTO setting (key, value) VALUES (?, ?) ON CONFLICT DO NOTHING').run(key, make());
      return one(db.prepare('SELECT value FROM setting WHERE key = ?').pluck(), key) as string;
    },
    async fault() {
      try {
        db.prepare('SELECT 1 FROM pass LIMIT 1').all();
      } catch {
        return 'The database cannot be read.';
      }
      try {
        accessSync(file, constants.W_OK);
      } catch {
        return 'The data folder cannot be written.';
      }
      return undefined;
    },
    async close() {
      await commits.settled();
      db.close();
    },
  };
}

/** First column of the first row. The library plucks in `all` only (seen in 0.5.29). */
function one(plucked: Database.Statement, ...params: unknown[]): unknown {
  return plucked.all(...params)[0];
}

function toPass(row: PassRow): Pass {
  return {
    id: row.id,
    name: row.name,
    role: row.role,
    owner: row.owner === 1,
    personId: row.person ?? undefined,
    madeMs: row.made_ms,
    joinedMs: row.joined_ms ?? undefined,
    revokedMs: row.revoked_ms ?? undefined,
  };
}
