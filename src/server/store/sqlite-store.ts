/** The studio's store in one SQLite file: WAL, `synchronous=FULL`, so what was committed survives a power cut. */
import { createHash } from 'node:crypto';
import Database from 'libsql';
import type { Entry } from '../../note/entry.ts';
import type { Shot } from '../../shot/model.ts';
import { explainFullDisk } from '../refusal.ts';
import { groupCommit } from './group-commit.ts';
import { migrate } from './migrate.ts';
import { inTransaction } from './transaction.ts';
import type { Added, KeptShot, Pass, StudioStore } from './types.ts';

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
export function sqliteStore(file: string, { maxPages }: { maxPages?: number } = {}): StudioStore {
  const db = new Database(file);
  db.pragma('journal_mode = WAL');
  db.pragma('synchronous = FULL');
  // The command line may write passes while the server runs.
  db.pragma('busy_timeout = 5000');
  migrate(db, file);
  if (maxPages !== undefined) db.pragma(`max_page_count = ${maxPages}`);

  const insert = db.prepare(
    'INSERT INTO entry (id, shot, json, pass, received_ms) VALUES (?, ?, ?, ?, ?) ON CONFLICT (id) DO NOTHING',
  );
  const jsonOf = db.prepare('SELECT json FROM entry WHERE id = ?').pluck();
  const afterSeq = db.prepare('SELECT seq, json FROM entry WHERE shot = ? AND seq > ? ORDER BY seq LIMIT ?');
  const lastSeq = db.prepare('SELECT max(seq) FROM entry WHERE shot = ?').pluck();
  const shotRow = db.prepare('SELECT json, folder, version FROM shot WHERE id = ?');
  const tokenRow = db.prepare('SELECT * FROM pass WHERE token = ? AND revoked_ms IS NULL');

  const addOne = (entry: Entry, passId: string | undefined, nowMs: number): Added => {
    const json = JSON.stringify(entry);
    const { changes } = insert.run(entry.id, entry.shot, json, passId ?? null, nowMs);
    if (changes === 1) return { id: entry.id, result: 'stored' };
    return { id: entry.id, result: one(jsonOf, entry.id) === json ? 'known' : 'clash' };
  };
  type Batch = { entries: readonly Entry[]; passId: string | undefined };
  const commits = groupCommit<Batch, Added[]>((batches) => {
    const nowMs = Date.now();
    try {
      return inTransaction(db, () =>
        batches.map(({ entries, passId }) => entries.map((entry) => addOne(entry, passId, nowMs))),
      );
    } catch (error) {
      throw explainFullDisk(error);
    }
  });

  return {
    add: (entries, passId) => commits.add({ entries, passId }),
    find(ids) {
      const found = ids.flatMap((id) => {
        const json = one(jsonOf, id) as string | undefined;
        return json === undefined ? [] : [[id, JSON.parse(json) as Entry] as const];
      });
      return new Map(found);
    },
    after: (shotId, seq, limit) =>
      (afterSeq.all(shotId, seq, limit) as { seq: number; json: string }[]).map((row) => ({
        seq: row.seq,
        entry: JSON.parse(row.json) as Entry,
      })),
    last: (shotId) => (one(lastSeq, shotId) as number | null) ?? 0,

    shots: () =>
      (db.prepare('SELECT json, folder, version FROM shot ORDER BY id').all() as ShotRow[]).map(toKeptShot),
    shot(id) {
      const row = shotRow.get(id) as ShotRow | undefined;
      return row && toKeptShot(row);
    },
    keepShot(shot, folder) {
      const json = JSON.stringify(shot);
      const version = createHash('sha256').update(json).digest('hex').slice(0, 32);
      db.prepare(
        `INSERT INTO shot (id, json, folder, version) VALUES (?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET json = excluded.json, folder = excluded.folder, version = excluded.version`,
      ).run(shot.id, json, folder ?? null, version);
      return { shot, folder, version };
    },

    passes: () => (db.prepare('SELECT * FROM pass ORDER BY made_ms, id').all() as PassRow[]).map(toPass),
    makePass(pass, codeHash) {
      db.prepare(
        'INSERT INTO pass (id, name, role, owner, person, code, made_ms) VALUES (?, ?, ?, ?, ?, ?, ?)',
      ).run(pass.id, pass.name, pass.role, Number(pass.owner), pass.personId ?? null, codeHash, pass.madeMs);
    },
    join(codeHash, tokenHash, personId, nowMs, maxAgeMs) {
      const { changes } = db
        .prepare(
          `UPDATE pass SET token = ?, person = coalesce(person, ?), joined_ms = ?, code = NULL
           WHERE code = ? AND revoked_ms IS NULL AND made_ms > ?`,
        )
        .run(tokenHash, personId, nowMs, codeHash, nowMs - maxAgeMs);
      return changes === 1 ? this.passOfToken(tokenHash) : undefined;
    },
    passOfToken(tokenHash) {
      const row = tokenRow.get(tokenHash) as PassRow | undefined;
      return row && toPass(row);
    },
    revokePass: (id, nowMs) =>
      db
        .prepare(
          'UPDATE pass SET revoked_ms = ?, token = NULL, code = NULL WHERE id = ? AND revoked_ms IS NULL',
        )
        .run(nowMs, id).changes === 1,

    setting(key, make) {
      db.prepare('INSERT INTO setting (key, value) VALUES (?, ?) ON CONFLICT DO NOTHING').run(key, make());
      return one(db.prepare('SELECT value FROM setting WHERE key = ?').pluck(), key) as string;
    },
    close() {
      db.close();
    },
  };
}

/** First column of the first row. The library plucks in `all` only (seen in 0.5.29). */
function one(plucked: Database.Statement, ...params: unknown[]): unknown {
  return plucked.all(...params)[0];
}

interface ShotRow {
  json: string;
  folder: string | null;
  version: string;
}

function toKeptShot({ json, folder, version }: ShotRow): KeptShot {
  return { shot: JSON.parse(json) as Shot, folder: folder ?? undefined, version };
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
