/**
 * The server's seal over an entry that it acknowledged: whoever holds entry and seal can give it back to this server
 * after its data were restored from an older copy, and nobody can make one. HMAC with SHA-256 (RFC 2104) over the
 * entry's JSON as `JSON.stringify` writes it, which is the same on every side whatever spaces it came with.
 */
import { createHmac, randomBytes, timingSafeEqual } from 'node:crypto';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';

export interface Seal {
  /** `json`: an entry's text, however it is spaced. */
  over(json: string): string;
  holds(json: string, seal: string): boolean;
}

/** The key lies beside the database, so that restoring an older database leaves it as it is. */
export async function openSeal(folder: string): Promise<Seal> {
  const file = join(folder, 'seal.key');
  const made = randomBytes(32);
  await writeFile(file, made, { flag: 'wx', mode: 0o600, flush: true }).catch((error: unknown) => {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
  });
  const key = await readFile(file);
  const digest = (json: string): Buffer =>
    createHmac('sha256', key)
      .update(JSON.stringify(JSON.parse(json)))
      .digest();
  return {
    over: (json) => digest(json).toString('base64url'),
    holds(json, seal) {
      const [mine, theirs] = [digest(json), Buffer.from(seal, 'base64url')];
      return mine.length === theirs.length && timingSafeEqual(mine, theirs);
    },
  };
}
