/** The file's format, as consecutive steps. A step, once released, is never changed. */
import type Database from 'libsql';
import { inTransaction } from './transaction.ts';

const steps: readonly string[] = [
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
];

/** Brings the file to the newest format, each step in a transaction of its own. */
export function migrate(db: Database.Database, file: string): void {
  const { user_version: version } = db.prepare('PRAGMA user_version').get() as { user_version: number };
  if (version > steps.length) {
    throw new Error(
      `${file} was written by a later version of Fairpeg; nothing was changed. Start that version, or give another folder with --data.`,
    );
  }
  for (const [index, step] of steps.entries()) {
    if (index < version) continue;
    inTransaction(db, () => {
      db.exec(step);
      db.exec(`PRAGMA user_version = ${index + 1}`);
    });
  }
}
