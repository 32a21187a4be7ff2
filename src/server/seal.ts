/**
 * The server's seal over an entry that it acknowledged: whoever holds entry and seal can give it back to this server
 * after its data were restored from an older copy, and nobody can make one. HMAC with SHA-256 (RFC 2104) over the
 * entry's JSON as `JSON.stringify` writes it, which is the same on every side whatever spaces it came with.
 */
import { createHmac, randomBytes, randomUUID, timingSafeEqual } from 'node:crypto';
import { readFile, rename, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { sealedText } from '../wire/entries.ts';

export interface Seal {
  /** `entry` as parsed from its text. */
  over(entry: unknown): string;
  holds(entry: unknown, seal: string): boolean;
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

/** Written aside and renamed: a key cut off by a crash would be one that anybody can guess. */
async function makeKey(file: string): Promise<Buffer> {
  const key = randomBytes(keyBytes);
  const aside = `${file}.${randomUUID()}`;
  await writeFile(aside, key, { flag: 'wx', mode: 0o600, flush: true });
  await rename(aside, file);
  return key;
}
