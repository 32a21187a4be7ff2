/**
 * Pictures as files in a folder: the server's own, or one that several servers share over a network. A file gets its name
 * only after its bytes were hashed and are on disk, so a name never stands for something half written.
 */
import { randomUUID } from 'node:crypto';
import { type FileHandle, mkdir, open, readdir, readFile, rename, rm, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { Readable } from 'node:stream';
import { saidOnce } from '../said-once.ts';
import { asideName, type Keeper, KeeperAway, mediaTypeOf, nameIn, notHere, pathOf } from './keeper.ts';

export interface FolderOptions {
  /** It may be a drive of the network that goes away. */
  readonly shared?: boolean;
  /** Other processes write there, too. */
  readonly several?: boolean;
  readonly log?: (line: string) => void;
}

export async function folderKeeper(
  folder: string,
  { shared = false, several = shared, log = () => undefined }: FolderOptions = {},
): Promise<Keeper> {
  const partsFolder = join(folder, 'parts');
  const asideFolder = join(folder, asideName);
  const place = (sha256: string): string => join(folder, pathOf(sha256));
  const noteFile = (name: string): string => join(folder, `fairpeg-${name}.txt`);
  if (!shared) await mkdir(partsFolder, { recursive: true });

  const away = saidOnce(log, `The pictures in ${folder} are in reach again.`);
  const gone = (why: string): KeeperAway => {
    const sentence = `The pictures in ${folder} cannot be reached: ${why}. Look whether the folder is mounted, and may be written.`;
    away.failed(sentence);
    return new KeeperAway(sentence);
  };
  /**
   * A drive that is not mounted leaves an empty folder of this machine in its place: nothing is missed or written there.
   */
  const mounted = async (): Promise<void> => {
    if (shared && !(await stat(noteFile('mark')).catch(() => undefined)))
      throw gone(`${noteFile('mark')} is not there`);
    away.well();
  };
  /** `none` for what is not there; whatever else keeps it from being looked at is no answer. */
  const ifThere = async <T>(look: Promise<T>): Promise<T | undefined> => {
    try {
      return await look;
    } catch (error) {
      const { code, message } = error as NodeJS.ErrnoException;
      if (code !== 'ENOENT' && code !== 'ENOTDIR') throw gone(message);
      await mounted();
      return undefined;
    }
  };

  return {
    place: `the folder ${folder}`,
    partsFolder,
    isShared: several,
    async size(sha256) {
      const found = await ifThere(stat(place(sha256)));
      away.well();
      return found?.size;
    },
    async mediaType(sha256) {
      const head = await ifThere(
        withFile(place(sha256), 'r', (handle) => handle.read(Buffer.alloc(4), 0, 4, 0)),
      );
      if (!head) throw notHere();
      return mediaTypeOf(head.buffer);
    },
    async read(sha256, start, end) {
      const handle = await ifThere(open(place(sha256)));
      if (!handle) throw notHere();
      if (start < end) return handle.createReadStream({ start, end: end - 1 });
      await handle.close();
      return Readable.from([]);
    },
    async put(sha256, file) {
      await mounted();
      await withFile(file, 'r+', (handle) => handle.sync());
      await mkdir(dirname(place(sha256)), { recursive: true });
      await rename(file, place(sha256));
      await syncFolder(dirname(place(sha256)));
    },
    async setAside(sha256) {
      // Kept, since someone may want to know what happened; but no longer under this name.
      const aside = join(asideFolder, `${sha256}-${randomUUID()}`);
      await mkdir(asideFolder, { recursive: true });
      // Another process may have been faster.
      await ifThere(rename(place(sha256), aside));
      return aside;
    },
    async *names() {
      await mounted();
      for (const name of (await ifThere(readdir(folder))) ?? []) {
        if (!/^[0-9a-f]{2}$/.test(name)) continue;
        for (const file of (await ifThere(readdir(join(folder, name)))) ?? []) {
          const sha256 = nameIn(`${name}/${file}`);
          // One that goes meanwhile is not here.
          const found = sha256 && (await ifThere(stat(place(sha256))));
          if (sha256 && found) yield { sha256, byteLength: found.size };
        }
      }
    },
    usedBytes: () => bytesIn(folder),
    note: (name) =>
      readFile(noteFile(name), 'utf8').catch((error: unknown) => {
        if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined;
        throw error;
      }),
    async setNote(name, text) {
      if (text === undefined) return rm(noteFile(name), { force: true });
      await mkdir(folder, { recursive: true });
      const aside = `${noteFile(name)}.${randomUUID()}`;
      await withFile(aside, 'wx', async (handle) => {
        await handle.writeFile(text);
        await handle.sync();
      });
      await rename(aside, noteFile(name));
    },
    async close() {},
  };
}

async function bytesIn(folder: string): Promise<number> {
  let bytes = 0;
  // What goes meanwhile takes no room.
  for (const entry of await readdir(folder, { withFileTypes: true }).catch(() => [])) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) bytes += await bytesIn(path);
    else if (entry.isFile()) bytes += (await stat(path).catch(() => undefined))?.size ?? 0;
  }
  return bytes;
}

/** So that the new name outlives a crash. Some network drives know nothing of it, and keep names by themselves. */
async function syncFolder(folder: string): Promise<void> {
  await withFile(folder, 'r', (parent) => parent.sync()).catch((error: unknown) => {
    const { code } = error as NodeJS.ErrnoException;
    if (code !== 'EINVAL' && code !== 'ENOTSUP' && code !== 'EPERM' && code !== 'EISDIR') throw error;
  });
}

async function withFile<T>(file: string, flags: string, use: (handle: FileHandle) => Promise<T>): Promise<T> {
  const handle = await open(file, flags);
  try {
    return await use(handle);
  } finally {
    await handle.close();
  }
}
