/** Opens this tablet's shelf: IndexedDB, told to and heard from other tabs, swept once at the start. */
import { idbStore } from './idb-store.ts';
import { keptShelf } from './kept-shelf.ts';
import { holdWhileHere } from './put-away.ts';
import type { Room, Tabs } from './store.ts';
import type { Shelf } from './types.ts';

/** Without a secure context (plain HTTP in a studio's network) these are missing; a worker may not `persist`. */
const { locks, storage } = navigator as {
  readonly locks?: LockManager;
  readonly storage?: Pick<StorageManager, 'estimate' | 'persisted'> & {
    readonly persist?: () => Promise<boolean>;
  };
};

/** Each tab holds a lock named after its session for as long as it lives: the browser lets go of it, even killed. */
async function openTabs(name: string): Promise<Tabs> {
  const session = `${Date.now().toString(36)}-${Math.random().toString(36).slice(2)}`;
  const prefix = `${name} tab `;
  const channel = new BroadcastChannel(name);
  await holdWhileHere(prefix + session);
  return {
    session,
    async alive() {
      const held = (await locks?.query())?.held;
      return held && new Set(held.map((lock) => lock.name?.slice(prefix.length) ?? ''));
    },
    tell: (message) => channel.postMessage(message),
    listen: (listener) => channel.addEventListener('message', (event) => listener(event.data)),
  };
}

const room: Room = {
  async estimate() {
    const { usage, quota } = (await storage?.estimate()) ?? {};
    return {
      ...(usage !== undefined && { usedBytes: usage }),
      ...(quota !== undefined && { quotaBytes: quota }),
    };
  },
  persisted: async () => storage?.persisted(),
  persist: async () => (await storage?.persist?.()) ?? false,
};

/** Longer than a slow tablet takes; below it a busy one would be told of a trouble that it does not have. */
const slowMs = 15_000;

const slowSentence =
  'The shelf has not opened yet: another tab, or a page that Fairpeg was left for, may still hold it. Everything on it is safe: close Fairpeg’s other tabs, or close the browser and start it again.';

/**
 * Rejects with a `ShelfError` when this browser keeps nothing (`blocked`) or a newer Fairpeg was here (`newer`). A
 * database may never answer: `slow` is told so in one sentence after `afterMs`, and the shelf opens if it still can.
 */
export async function openShelf(
  name = 'fairpeg',
  slow: (sentence: string) => void = () => undefined,
  afterMs = slowMs,
): Promise<Shelf> {
  const waited = setTimeout(() => slow(slowSentence), afterMs);
  try {
    return await opened(name);
  } finally {
    clearTimeout(waited);
  }
}

async function opened(name: string): Promise<Shelf> {
  const shelf = keptShelf(idbStore(name), await openTabs(name), room);
  await shelf.value('');
  // Not waited for: it only makes room. What it could not do now, it does at the next start.
  void shelf.sweep().catch(() => undefined);
  return shelf;
}
