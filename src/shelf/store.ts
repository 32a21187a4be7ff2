/** What the shelf stands on: records under keys, changed in transactions. Two kinds: IndexedDB and memory. */

/** Sorted by part. The first part is the kind of record: see `kept-shelf.ts`. */
export type Key = readonly [kind: string, ...rest: string[]];

/** Records within one transaction. Await nothing but these calls in it. */
export interface Records {
  get<T>(key: Key): Promise<T | undefined>;
  /** Values and keys of all records whose key begins with `prefix`, in key order. */
  all<T>(prefix: Key): Promise<T[]>;
  keys(prefix: Key): Promise<Key[]>;
  put(key: Key, value: unknown): void;
  /** Leaves what is there already. Resolves to whether it was put. */
  putNew(key: Key, value: unknown): Promise<boolean>;
  drop(key: Key): void;
}

/**
 * `strict` survives a power cut: the record is on the disk when the promise resolves. `relaxed` survives a
 * killed browser (the system has it) and costs a tenth; right for what can be had again.
 */
export type Durability = 'strict' | 'relaxed';

export interface Store {
  /** `work` may run twice (after a lost connection), so it changes nothing but the records. */
  read<T>(work: (records: Records) => Promise<T>): Promise<T>;
  /** Resolves when committed; when `work` or the commit fails, nothing is changed. */
  write<T>(durability: Durability, work: (records: Records) => Promise<T>): Promise<T>;
}

/** This tab among the others of the same storage. */
export interface Tabs {
  /** Names this tab. */
  readonly session: string;
  /** Sessions of all open tabs, or nothing where the browser cannot tell. */
  alive(): Promise<ReadonlySet<string> | undefined>;
  /** Reaches the other tabs, not this one. */
  tell(message: unknown): void;
  listen(listener: (message: unknown) => void): void;
}

/** The browser's word on room, `undefined` where it gives none. */
export interface Room {
  estimate(): Promise<{ readonly usedBytes?: number; readonly quotaBytes?: number }>;
  persisted(): Promise<boolean | undefined>;
  persist(): Promise<boolean>;
}
