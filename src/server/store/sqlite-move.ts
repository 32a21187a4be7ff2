/** The file in the data folder, as one side of a move. */
import { existsSync, renameSync, rmSync } from 'node:fs';
import Database from 'libsql';
import { migrate } from './migrate.ts';
import type { EntryRow, PassRow, SmallRows, Source, Target } from './move.ts';
import { movedKey } from './moved.ts';

/** Rejects with one sentence when there is none, it was moved before, or a server has it open. */
export function sqliteSource(file: string): Source {
  if (!existsSync(file)) throw new Error(`There is no studio at ${file}. Give its folder with --data.`);
  const db = new Database(file);
  try {
    // A server that runs holds the file open, and then nobody has it alone (SQLite, `locking_mode`, with WAL).
    db.pragma('locking_mode = EXCLUSIVE');
    db.exec('BEGIN IMMEDIATE');
    db.exec('COMMIT');
  } catch (error) {
    db.close();
    if ((error as { code?: unknown }).code !== 'SQLITE_BUSY') throw error;
    throw new Error(`${file} is in use. Stop the studio server first; nothing was moved.`, { cause: error });
  }
  migrate(db, file);
  return {
    ...reading(db),
    async noteMoved(note) {
      db.prepare('INSERT OR REPLACE INTO setting (key, value) VALUES (?, ?)').run(movedKey, note);
    },
    async close() {
      db.close();
    },
  };
}

/** Written beside it, and put in its place by `keep`; what was moved away from there before is set aside. */
export function sqliteTarget(file: string, nowMs: number): Target {
  const isMoved = (): boolean => {
    const db = new Database(file);
    try {
      return db.prepare('SELECT value FROM setting WHERE key = ?').all(movedKey).length > 0;
    } finally {
      db.close();
    }
  };
  if (existsSync(file) && !isMoved())
    throw new Error(
      `${file} holds a studio already. Set it aside, or give another folder with --data; nothing was moved.`,
    );
  const beside = `${file}.moving`;
  rmSync(beside, { force: true });
  const db = new Database(beside);
  db.pragma('synchronous = FULL');
  migrate(db, beside);
  db.exec('BEGIN IMMEDIATE');
  const entry = db.prepare(
    'INSERT INTO entry (seq, id, shot, json, pass, received_ms, paper) VALUES (?, ?, ?, ?, ?, ?, ?)',
  );
  const pass = db.prepare('INSERT INTO pass VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)');
  const folder = db.prepare('INSERT INTO folder (name, shot) VALUES (?, ?)');
  const setting = db.prepare('INSERT INTO setting (key, value) VALUES (?, ?)');
  let kept = false;
  return {
    ...reading(db),
    async putEntries(rows) {
      for (const row of rows)
        entry.run(row.seq, row.id, row.shot, row.json, row.pass, row.receivedMs, Number(row.isPaper));
    },
    async putSmall({ passes, folders, settings }) {
      for (const one of passes)
        pass.run(
          one.id,
          one.name,
          one.role,
          Number(one.isOwner),
          one.person,
          one.code,
          one.token,
          one.madeMs,
          one.joinedMs,
          one.revokedMs,
        );
      for (const { name, shot } of folders) folder.run(name, shot);
      for (const { key, value } of settings) setting.run(key, value);
    },
    async keep() {
      db.exec('COMMIT');
      db.close();
      kept = true;
      const aside = `${file}.moved-${nowMs}`;
      for (const end of ['', '-wal', '-shm'])
        if (existsSync(`${file}${end}`)) renameSync(`${file}${end}`, `${aside}${end}`);
      renameSync(beside, file);
    },
    async close() {
      if (kept) return;
      db.close();
      rmSync(beside, { force: true });
    },
  };
}

function reading(db: Database.Database) {
  const page = db.prepare(
    'SELECT seq, id, shot, json, pass, received_ms, paper FROM entry WHERE seq > ? ORDER BY seq LIMIT ?',
  );
  type Row = {
    seq: number;
    id: string;
    shot: string;
    json: string;
    pass: string | null;
    received_ms: number;
    paper: number;
  };
  return {
    entries: async (seq: number, limit: number): Promise<EntryRow[]> =>
      (page.all(seq, limit) as Row[]).map(({ received_ms: receivedMs, paper, ...row }) => ({
        ...row,
        receivedMs,
        isPaper: paper === 1,
      })),
    small: async (): Promise<SmallRows> => ({
      passes: (
        db
          .prepare(
            `SELECT id, name, role, owner AS isOwner, person, code, token, made_ms AS madeMs, joined_ms AS joinedMs,
               revoked_ms AS revokedMs FROM pass ORDER BY id`,
          )
          .all() as (Omit<PassRow, 'isOwner'> & { isOwner: number })[]
      ).map((row) => ({ ...row, isOwner: row.isOwner === 1 })),
      folders: db.prepare('SELECT name, shot FROM folder ORDER BY name').all() as {
        name: string;
        shot: string;
      }[],
      settings: db.prepare('SELECT key, value FROM setting WHERE key <> ? ORDER BY key').all(movedKey) as {
        key: string;
        value: string;
      }[],
    }),
  };
}
