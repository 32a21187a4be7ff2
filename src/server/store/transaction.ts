import type Database from 'libsql';

/**
 * All of it, or nothing. The library's own wrapper hides why a commit failed: on a full disk SQLite rolls
 * back by itself, and the second ROLLBACK throws instead (seen in 0.5.29).
 */
export function inTransaction<T>(db: Database.Database, work: () => T): T {
  db.exec('BEGIN IMMEDIATE');
  try {
    const result = work();
    db.exec('COMMIT');
    return result;
  } catch (error) {
    if (db.inTransaction) db.exec('ROLLBACK');
    throw error;
  }
}
