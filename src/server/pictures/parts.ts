/**
 * Unfinished uploads, a file each. Where several processes take uploads in one folder, each writes files of its own: bytes
 * that another still writes would change a picture after it was checked. One that goes on where another stopped copies.
 */
import { createHash } from 'node:crypto';
import { copyFile, mkdir, readdir, rename, rm, rmdir, stat } from 'node:fs/promises';
import { join } from 'node:path';

export interface Parts {
  /** A file for this process alone, not there yet. */
  fresh(name: string): string;
  /** Bytes that came so far, to whichever process. */
  received(sha256: string, owner: string): Promise<number>;
  /** The file to go on with, which need not be there yet; with what another process had more of. */
  file(sha256: string, owner: string): Promise<string>;
  /** What every process has of it: it is whole, or was not what it should be. Resolves to the bytes of this one's. */
  drop(sha256: string, owner: string): Promise<number>;
  /** A file that is whole and was checked, and could not be put yet. */
  wait(sha256: string, file: string): Promise<void>;
  /** Such a file, of whichever process. */
  waiting(sha256: string): Promise<string | undefined>;
}

/** Nobody goes on with an upload after so long. */
const oldMs = 7 * 86_400_000;

/** `writer` is this process among several; empty where it is the only one. */
export async function uploadParts(folder: string, writer: string): Promise<Parts> {
  const own = join(folder, writer);
  await mkdir(own, { recursive: true });
  await dropOld(folder);
  await mkdir(own, { recursive: true });
  /** A digest, since an owner's id is no file name. */
  const nameOf = (sha256: string, owner: string): string =>
    `${sha256}-${createHash('sha256').update(owner).digest('hex').slice(0, 16)}`;
  /** The same upload's files of other processes, the longest first. */
  const others = async (name: string): Promise<{ file: string; size: number }[]> => {
    if (writer === '') return [];
    const found = [];
    for (const entry of await readdir(folder, { withFileTypes: true })) {
      if (entry.name === writer) continue;
      const file = entry.isDirectory() ? join(folder, entry.name, name) : join(folder, entry.name);
      if (!entry.isDirectory() && entry.name !== name) continue;
      const size = await fileSize(file);
      if (size !== undefined) found.push({ file, size });
    }
    return found.sort((a, b) => b.size - a.size);
  };

  return {
    fresh: (name) => join(own, name),
    async received(sha256, owner) {
      const name = nameOf(sha256, owner);
      const [longest] = await others(name);
      return Math.max((await fileSize(join(own, name))) ?? 0, longest?.size ?? 0);
    },
    async file(sha256, owner) {
      const name = nameOf(sha256, owner);
      const file = join(own, name);
      await mkdir(own, { recursive: true });
      const [longest] = await others(name);
      if (longest && longest.size > ((await fileSize(file)) ?? 0)) {
        // One that is dropped meanwhile is no loss: the upload starts again.
        await copyFile(longest.file, `${file}.copy`).then(
          () => rename(`${file}.copy`, file),
          () => undefined,
        );
      }
      return file;
    },
    async drop(sha256, owner) {
      const name = nameOf(sha256, owner);
      for (const { file } of await others(name)) await rm(file, { force: true });
      const bytes = (await fileSize(join(own, name))) ?? 0;
      await rm(join(own, name), { force: true });
      return bytes;
    },
    wait: (sha256, file) => rename(file, join(own, wholeName(sha256))),
    async waiting(sha256) {
      const file = join(own, wholeName(sha256));
      if ((await fileSize(file)) !== undefined) return file;
      return (await others(wholeName(sha256)))[0]?.file;
    },
  };
}

const wholeName = (sha256: string): string => `${sha256}.whole`;

/** Undefined where there is none. */
export const fileSize = async (file: string): Promise<number | undefined> =>
  (await stat(file).catch(() => undefined))?.size;

async function dropOld(folder: string): Promise<void> {
  for (const entry of await readdir(folder, { withFileTypes: true })) {
    const file = join(folder, entry.name);
    if (entry.isDirectory()) {
      await dropOld(file).catch(() => undefined);
      // Left by a process that ended; one that still writes has something in it, or makes it again.
      await rmdir(file).catch(() => undefined);
      continue;
    }
    // Another process may drop it at the same time.
    const found = await stat(file).catch(() => undefined);
    if (found && Date.now() - found.mtimeMs > oldMs) await rm(file, { force: true });
  }
}
