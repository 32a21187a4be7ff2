/**
 * The server's seal over an entry that it acknowledged: whoever holds entry and seal can give it back to this server
 * after its data were restored from an older copy, and nobody can make one. HMAC with SHA-256 (RFC 2104) over the
 * entry's JSON as `JSON.stringify` writes it, which is the same on every side whatever spaces it came with.
 */
import { createHmac, randomBytes, randomUUID, timingSafeEqual } from 'node:crypto';
import { link, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { sealedText } from '../wire/entries.ts';
import type { StudioStore } from './store/types.ts';

export interface Seal {
  /** `entry` as parsed from its text. */
  over(entry: unknown): string;
  holds(entry: unknown, seal: string): boolean;
  /** Tells keys apart, and tells nothing of the key. */
  readonly mark: string;
}

const keyBytes = 32;

/**
 * The key lies beside the database, so that restoring an older database leaves it as it is. Rejects with one sentence
 * for a file that is no key: a new one would hold for nothing that tablets keep.
 */
export async function openSeal(folder: string): Promise<Seal> {
  const file = join(folder, 'seal.key');
  const key = (await keyIn(file)) ?? (await makeKey(file));
  if (key.length !== keyBytes) {
    throw new Error(
      `${file} is not the key that the server made there. Put the one of your backup in its place; without any, remove the file, and tablets give back only what their own people wrote.`,
    );
  }
  const digest = (entry: unknown): Buffer => createHmac('sha256', key).update(sealedText(entry)).digest();
  return {
    mark: createHmac('sha256', key).update('mark').digest('hex'),
    over: (entry) => digest(entry).toString('base64url'),
    holds(entry, seal) {
      const [mine, theirs] = [digest(entry), Buffer.from(seal, 'base64url')];
      return mine.length === theirs.length && timingSafeEqual(mine, theirs);
    },
  };
}

async function keyIn(file: string): Promise<Buffer | undefined> {
  return readFile(file).catch((error: unknown) => {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
    return undefined;
  });
}

/**
 * Written aside first: a key cut off by a crash would be one that anybody can guess. Of servers that start at one time in
 * a folder the first makes the key, and the others take that.
 */
async function makeKey(file: string): Promise<Buffer> {
  const aside = `${file}.${randomUUID()}`;
  await writeFile(aside, randomBytes(keyBytes), { flag: 'wx', mode: 0o600, flush: true });
  try {
    await link(aside, file);
  } catch (error) {
    // Some network folders know no second name of a file: there whoever starts last has made the key.
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') await rename(aside, file);
  } finally {
    await rm(aside, { force: true });
  }
  return readFile(file);
}

/**
 * Servers on one database have one data folder. Rejects with one sentence for a server whose key is another: its tablets
 * would get seals that no other server takes, and lack the pictures of the others.
 */
export async function checkSeal({ mark }: Seal, store: Pick<StudioStore, 'setting'>): Promise<void> {
  if ((await store.setting('seal', () => mark)) === mark) return;
  throw new Error(
    'This data folder is not the one of the database’s other servers (its seal.key is another). Give all of them one shared folder with --data, or put the seal.key of your backup into it.',
  );
}
