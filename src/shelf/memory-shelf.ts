/** A shelf that forgets: for tests, and to show what the real one does. Give two shelves one disk: two tabs. */
import { keptShelf } from './kept-shelf.ts';
import { MemoryDisk, memoryRoom, memoryStore, memoryTabs } from './memory-store.ts';
import type { Shelf } from './types.ts';

export { MemoryDisk } from './memory-store.ts';

export const memoryShelf = (disk: MemoryDisk = new MemoryDisk()): Shelf =>
  keptShelf(memoryStore(disk), memoryTabs(disk, `tab ${++disk.opened}`), memoryRoom(disk));
