/**
 * The stored format and how an older one becomes this one. Each step goes one version up; a shelf at
 * version n runs steps n+1, n+2, … in one transaction, which changes nothing when it fails. Never edit a
 * step that was released; add one, and keep a fixture of the version before it.
 */

import { sayShots } from './say-shots.ts';
import type { Records } from './store.ts';

/** Awaits nothing but the records. They lie in the one object store `kept`; see `kept-shelf.ts` for the kinds. */
export type Migration = (db: IDBDatabase, records: () => Records) => void | Promise<void>;

export const MIGRATIONS: readonly Migration[] = [
  // 1: shots, images and their bytes, entries, unsent marks, desk states and values, under array keys.
  (db) => {
    db.createObjectStore('kept');
  },
  // 2: a shot is what its entries make. Each shot of format 1 says what it is made of; marks lie by shot.
  (_db, records) => sayShots(records()),
];
