/** The store that a server or a command was told to use. */
import { join } from 'node:path';
import type { StoreWatch } from '../watch.ts';
import type { StudioStore } from './types.ts';

export interface StorePlace {
  /** The server's data folder. */
  readonly data: string;
  /** Address of a PostgreSQL database; absent: the file in the data folder. */
  readonly database?: string | undefined;
  readonly log?: (line: string) => void;
  readonly watch?: StoreWatch;
}

export const storeFile = (data: string): string => join(data, 'studio.sqlite');

/** Rejects with one sentence when it cannot be opened. Each engine is loaded only where it is used. */
export async function openStore({ data, database, log, watch }: StorePlace): Promise<StudioStore> {
  const watched = watch ? { watch } : {};
  if (database === undefined)
    return (await import('./sqlite-store.ts')).sqliteStore(storeFile(data), watched);
  const { postgresStore } = await import('./postgres/postgres-store.ts');
  return postgresStore(database, log ? { log, ...watched } : watched);
}
