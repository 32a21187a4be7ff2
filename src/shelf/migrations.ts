/**
 * The stored format and how an older one becomes this one. Each step goes one version up; a shelf at
 * version n runs steps n+1, n+2, … in one transaction, which changes nothing when it fails. Never edit a
 * step that was released; add one, and keep a fixture of the version before it.
 */

/** Awaits nothing but requests of `change`. `kept` is the one object store of records; see `kept-shelf.ts` for the kinds. */
export type Migration = (db: IDBDatabase, change: IDBTransaction) => void | Promise<void>;

export const MIGRATIONS: readonly Migration[] = [
  // 1: shots, images and their bytes, entries, unsent marks, desk states and values, under array keys.
  (db) => {
    db.createObjectStore('kept');
  },
];
