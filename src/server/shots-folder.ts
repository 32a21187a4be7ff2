/**
 * Watches a folder of shots. The system's watcher only hastens a look; a look every other second finds what
 * it missed (network drives, containers). A shot is read when its files have stood still for two looks, so
 * that a file still being written is waited for; one that does not decode is left for the next change.
 */
import { createHash } from 'node:crypto';
import { watch } from 'node:fs';
import { readdir, stat } from 'node:fs/promises';
import { join, relative, resolve } from 'node:path';
import { type FolderNeeds, readFolderShot } from './read-folder-shot.ts';
import { Refusal } from './refusal.ts';
import { saidOnce } from './said-once.ts';

export interface WatchNeeds extends Omit<FolderNeeds, 'memory'> {
  readonly folder: string;
  readonly rescanMs: number;
}

export function watchShots(needs: WatchNeeds): { close(): Promise<void> } {
  const folder = resolve(needs.folder);
  /** Per shot folder: what it looked like at the last look, and when it was last read. */
  const seen = new Map<string, string>();
  const read = new Map<string, string>();
  const shotNeeds: FolderNeeds = { ...needs, memory: { digests: new Map(), told: new Set() } };
  let closed = false;
  let saidGone = false;

  const look = async (): Promise<void> => {
    if (!(await needs.store.watchesFolder())) return;
    const names = await shotFolders(folder);
    if (!names) {
      // A drive that went away: what was offered stays offered.
      if (!saidGone)
        needs.log(`The shots folder ${folder} cannot be read; shots already known are still offered.`);
      saidGone = true;
      return;
    }
    saidGone = false;
    for (const name of names) {
      const now = await signature(join(folder, name));
      if (now === undefined) continue;
      const still = seen.get(name) === now;
      seen.set(name, now);
      if (closed || !still || read.get(name) === now) continue;
      read.set(name, now);
      await readFolderShot(folder, name, shotNeeds).catch((error: unknown) => {
        // The database or the pictures are away: no fault of the shot, which is read once they are back.
        if (error instanceof Refusal && (error.code === 'database' || error.code === 'pictures')) {
          read.delete(name);
          throw error;
        }
        // Tried again at the next change, and at the next start.
        needs.log(`${name} could not be read: ${say(error)} What was offered of it before stays.`);
      });
    }
  };

  let looking = Promise.resolve();
  const looked = saidOnce(needs.log, `The shots folder ${folder} is read again.`);
  const lookSoon = (): void => {
    looking = looking
      .then(look)
      .then(looked.well, (error: unknown) =>
        looked.failed(`The shots folder ${folder} could not be read: ${say(error)}`),
      );
  };
  lookSoon();
  lookSoon();
  const timer = setInterval(lookSoon, needs.rescanMs);
  timer.unref();
  const stopWatching = watchFolder(folder, lookSoon);

  return {
    async close() {
      closed = true;
      clearInterval(timer);
      stopWatching();
      await looking;
    },
  };
}

/** Where the system offers no watching (some network drives), the timer alone does it. */
function watchFolder(folder: string, changed: () => void): () => void {
  let waiting: NodeJS.Timeout | undefined;
  try {
    const watcher = watch(folder, { recursive: true }, () => {
      clearTimeout(waiting);
      waiting = setTimeout(changed, 100);
    });
    watcher.on('error', () => watcher.close());
    return () => {
      clearTimeout(waiting);
      watcher.close();
    };
  } catch {
    return () => undefined;
  }
}

/** Names of the folders in the shots folder; undefined when that cannot be read. */
async function shotFolders(folder: string): Promise<string[] | undefined> {
  const found = await readdir(folder, { withFileTypes: true }).catch(() => undefined);
  return found
    ?.filter((entry) => entry.isDirectory() && !entry.name.startsWith('.'))
    .map((entry) => entry.name)
    .sort();
}

const isPicture = (file: string): boolean => /\.(png|jpe?g|webp|tiff?|zip)$/i.test(file);

/** Digest of names, sizes and times: equal while nothing moves. Undefined for a folder without pictures. */
async function signature(folder: string): Promise<string | undefined> {
  const hash = createHash('sha256');
  const entries = await readdir(folder, { withFileTypes: true, recursive: true }).catch(() => []);
  const files = entries.filter((entry) => entry.isFile()).map((entry) => join(entry.parentPath, entry.name));
  if (!files.some(isPicture)) return undefined;
  for (const file of files.sort()) {
    const found = await stat(file).catch(() => undefined);
    hash.update(`${relative(folder, file)}\0${found?.size}\0${found?.mtimeMs}\n`);
  }
  return hash.digest('hex');
}

function say(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
