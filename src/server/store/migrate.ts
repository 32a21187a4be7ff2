/** The file's format, as consecutive steps. A step, once released, is never changed. */
import type Database from 'libsql';
import type { Entry } from '../../note/entry.ts';
import { originEntries } from '../../note/origin.ts';
import { parseEntry } from '../../note/parse.ts';
import { shotBodies } from '../../note/shot-bodies.ts';
import { makesShot } from '../../note/shot-of.ts';
import type { Shot } from '../../shot/model.ts';
import { inTransaction } from './transaction.ts';

/** 1: entries and shots. 2 and 3: shots as entries. */
const steps: readonly (string | ((db: Database.Database) => void))[] = [
  `CREATE TABLE entry (
     seq INTEGER PRIMARY KEY AUTOINCREMENT,
     id TEXT NOT NULL UNIQUE,
     shot TEXT NOT NULL,
     json TEXT NOT NULL,
     pass TEXT,
     received_ms INTEGER NOT NULL
   );
   CREATE INDEX entry_of_shot ON entry (shot, seq);
   CREATE TABLE shot (id TEXT PRIMARY KEY, json TEXT NOT NULL, folder TEXT UNIQUE, version TEXT NOT NULL);
   CREATE TABLE pass (
     id TEXT PRIMARY KEY,
     name TEXT NOT NULL,
     role TEXT NOT NULL,
     owner INTEGER NOT NULL,
     person TEXT,
     code TEXT UNIQUE,
     token TEXT UNIQUE,
     made_ms INTEGER NOT NULL,
     joined_ms INTEGER,
     revoked_ms INTEGER
   );
   CREATE TABLE setting (key TEXT PRIMARY KEY, value TEXT NOT NULL);`,
  `ALTER TABLE entry ADD COLUMN paper INTEGER NOT NULL DEFAULT 0;
   CREATE INDEX paper_of_shot ON entry (shot, seq) WHERE paper = 1;
   CREATE TABLE folder (name TEXT PRIMARY KEY, shot TEXT NOT NULL);
   INSERT INTO folder (name, shot) SELECT folder, id FROM shot WHERE folder IS NOT NULL;`,
  sayShots,
];

/** A shot is what its entries make. Those of the shots that were one record are said here as on every tablet. */
function sayShots(db: Database.Database): void {
  const mark = db.prepare('UPDATE entry SET paper = 1 WHERE seq = ?');
  const page = db.prepare('SELECT seq, json FROM entry WHERE seq > ? ORDER BY seq LIMIT 100');
  for (let place = 0; ; ) {
    const rows = page.all(place) as { seq: number; json: string }[];
    for (const { seq, json } of rows) if (makesShot(JSON.parse(json) as Entry)) mark.run(seq);
    if (rows.length === 0) break;
    place = rows.at(-1)?.seq ?? place;
  }
  const insert = db.prepare(
    'INSERT INTO entry (id, shot, json, received_ms, paper) VALUES (?, ?, ?, ?, 1) ON CONFLICT DO NOTHING',
  );
  for (const { json } of db.prepare('SELECT json FROM shot').all() as { json: string }[]) {
    const shot = JSON.parse(json) as Shot;
    // What no tablet could read (a drawing held for years) stays behind.
    for (const entry of originEntries(shot.id, shotBodies(shot)))
      if (parseEntry(entry).ok) insert.run(entry.id, shot.id, JSON.stringify(entry), Date.now());
  }
  db.exec('DROP TABLE shot');
}

/**
 * Brings the file to the newest format, each step in a transaction of its own. Of processes that open it at one time (a
 * server and `fairpeg passes`) each step is done by one: which is next is read under the lock.
 */
export function migrate(db: Database.Database, file: string): void {
  for (let version = versionOf(db); version !== steps.length; ) {
    if (version > steps.length) {
      throw new Error(
        `${file} was written by a later version of Fairpeg; nothing was changed. Start that version, or give another folder with --data.`,
      );
    }
    version = inTransaction(db, () => {
      const now = versionOf(db);
      const step = steps[now];
      if (step === undefined) return now;
      if (typeof step === 'string') db.exec(step);
      else step(db);
      db.exec(`PRAGMA user_version = ${now + 1}`);
      return now + 1;
    });
  }
}

const versionOf = (db: Database.Database): number =>
  (db.prepare('PRAGMA user_version').get() as { user_version: number }).user_version;
