/** A store in memory, with the manners of the real one: copies in and out, transactions one at a time, a limit. */
import type { Key, Records, Room, Store, Tabs } from './store.ts';
import { ShelfError } from './types.ts';

const sizeOf = (value: unknown): number =>
  value instanceof ArrayBuffer
    ? value.byteLength
    : typeof value === 'object' && value !== null
      ? Object.values(value).reduce<number>((sum, part) => sum + sizeOf(part), 0)
      : 8;

const isUnder = (key: Key, prefix: Key): boolean => prefix.every((part, i) => key[i] === part);

const compare = (a: Key, b: Key): number => {
  for (let i = 0; i < Math.min(a.length, b.length); i++) {
    const [one = '', other = ''] = [a[i], b[i]];
    if (one !== other) return one < other ? -1 : 1;
  }
  return a.length - b.length;
};

/** What several tabs share. */
export class MemoryDisk {
  capacityBytes: number;
  persistent = false;
  /** Tabs so far, closed ones included. */
  opened = 0;
  /** Set to make every write fail with it, as a broken disk would. */
  fault: ShelfError | undefined;
  records = new Map<string, unknown>();
  readonly sessions = new Map<string, Set<(message: unknown) => void>>();
  queue: Promise<unknown> = Promise.resolve();
  constructor(capacityBytes = Number.POSITIVE_INFINITY) {
    this.capacityBytes = capacityBytes;
  }
  usedBytes(): number {
    return [...this.records.values()].reduce<number>((sum, value) => sum + sizeOf(value), 0);
  }
}

const recordsIn = (map: Map<string, unknown>): Records => {
  const under = (prefix: Key): Key[] =>
    [...map.keys()]
      .map((key) => JSON.parse(key) as Key)
      .filter((key) => isUnder(key, prefix))
      .sort(compare);
  return {
    get: <T>(key: Key) => Promise.resolve(structuredClone(map.get(JSON.stringify(key))) as T | undefined),
    all: <T>(prefix: Key) =>
      Promise.resolve(under(prefix).map((key) => structuredClone(map.get(JSON.stringify(key))) as T)),
    keys: (prefix) => Promise.resolve(under(prefix)),
    put: (key, value) => void map.set(JSON.stringify(key), structuredClone(value)),
    async putNew(key, value) {
      const isNew = !map.has(JSON.stringify(key));
      if (isNew) map.set(JSON.stringify(key), structuredClone(value));
      return isNew;
    },
    drop: (key) => void map.delete(JSON.stringify(key)),
  };
};

export function memoryStore(disk: MemoryDisk): Store {
  const inTurn = <T>(work: () => Promise<T>): Promise<T> => {
    const turn = disk.queue.then(work);
    disk.queue = turn.catch(() => undefined);
    return turn;
  };
  return {
    read: (work) => inTurn(() => work(recordsIn(disk.records))),
    write: (_durability, work) =>
      inTurn(async () => {
        const before = new Map(disk.records);
        const beforeBytes = disk.usedBytes();
        try {
          if (disk.fault !== undefined) throw disk.fault;
          const result = await work(recordsIn(disk.records));
          const nowBytes = disk.usedBytes();
          if (nowBytes > disk.capacityBytes && nowBytes > beforeBytes) {
            throw new ShelfError(
              'full',
              'The storage is full; what was kept is safe: free some storage, then repeat.',
            );
          }
          return result;
        } catch (error) {
          disk.records = before;
          throw error;
        }
      }),
  };
}

export function memoryTabs(disk: MemoryDisk, session: string): Tabs {
  const listeners = new Set<(message: unknown) => void>();
  disk.sessions.set(session, listeners);
  return {
    session,
    alive: () => Promise.resolve(new Set(disk.sessions.keys())),
    tell(message) {
      for (const [other, heard] of disk.sessions) {
        if (other !== session) for (const listener of heard) listener(structuredClone(message));
      }
    },
    listen: (listener) => void listeners.add(listener),
  };
}

export const memoryRoom = (disk: MemoryDisk): Room => ({
  estimate: () =>
    Promise.resolve(
      disk.capacityBytes === Number.POSITIVE_INFINITY
        ? { usedBytes: disk.usedBytes() }
        : { usedBytes: disk.usedBytes(), quotaBytes: disk.capacityBytes },
    ),
  persisted: () => Promise.resolve(disk.persistent),
  persist() {
    disk.persistent = true;
    return Promise.resolve(true);
  },
});
