/** All pictures of one keeper into another, each read back there and held against its name. */
import { createHash, randomUUID } from 'node:crypto';
import { createWriteStream } from 'node:fs';
import { appendFile, mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { hashed } from './hashed.ts';
import type { Keeper, Kept } from './keeper.ts';

export interface PicturesMoved {
  /** In the target now, each read back. */
  readonly pictures: number;
  readonly bytes: number;
  /** Of those, what an earlier run had moved. */
  readonly before: number;
  /** Names of those whose bytes were not what they say; they stay where they are. */
  readonly rotten: readonly string[];
}

/** At one time: an object store answers each after a while, and takes many. */
const lanes = 8;

/**
 * What is done is written down in `journal`, and a run that was broken off goes on from there. Rejects with the first picture
 * that does not come out of the target as it went in, or when a side is out of reach; what was moved so far stays.
 */
export async function movePictures(from: Keeper, to: Keeper, journal: string): Promise<PicturesMoved> {
  const done = await begun(journal, `${from.place} → ${to.place}`);
  const there = new Map<string, number>();
  for await (const { sha256, byteLength } of to.names()) there.set(sha256, byteLength);
  await mkdir(to.partsFolder, { recursive: true });
  const rotten: string[] = [];
  const sum = { pictures: 0, bytes: 0, before: 0 };

  const one = async ({ sha256, byteLength }: Kept): Promise<void> => {
    if (done.has(sha256) && there.get(sha256) === byteLength) sum.before++;
    else if (await moveOne(sha256, byteLength, from, to)) await appendFile(journal, `${sha256}\n`);
    else {
      rotten.push(sha256);
      return;
    }
    sum.pictures++;
    sum.bytes += byteLength;
  };

  const names = from.names()[Symbol.asyncIterator]();
  const broken = new AbortController();
  const lane = async (): Promise<void> => {
    while (!broken.signal.aborted) {
      const { value, done: isEnd } = await names.next();
      if (isEnd) return;
      await one(value);
    }
  };
  try {
    await Promise.all(
      Array.from({ length: lanes }, () =>
        lane().catch((error: unknown) => {
          broken.abort();
          throw error;
        }),
      ),
    );
  } finally {
    await names.return?.();
  }
  return { ...sum, rotten };
}

/** The names that an earlier run of the same move wrote down; the file of another is begun anew. */
async function begun(journal: string, title: string): Promise<ReadonlySet<string>> {
  const [first, ...names] = (await readFile(journal, 'utf8').catch(() => '')).split('\n');
  if (first === title) return new Set(names);
  await writeFile(journal, `${title}\n`);
  return new Set();
}

/** False where the source's bytes are not what the name says. */
async function moveOne(sha256: string, byteLength: number, from: Keeper, to: Keeper): Promise<boolean> {
  const file = join(to.partsFolder, `${randomUUID()}.moving`);
  try {
    const hash = createHash('sha256');
    await pipeline(
      await from.read(sha256, 0, byteLength),
      hashed(hash),
      createWriteStream(file, { flush: true }),
    );
    if (hash.digest('hex') !== sha256) return false;
    // What lies there already may be rotten: then it makes room, and is kept aside.
    if ((await to.size(sha256)) !== undefined && (await isSound(to, sha256))) return true;
    if ((await to.size(sha256)) !== undefined) await to.setAside(sha256);
    await to.put(sha256, file);
    if (await isSound(to, sha256)) return true;
  } finally {
    await rm(file, { force: true });
  }
  throw new Error(
    `The picture ${sha256} came out of ${to.place} otherwise than it went in. It stays in ${from.place}; look at that store, and run this again.`,
  );
}

async function isSound(keeper: Keeper, sha256: string): Promise<boolean> {
  const hash = createHash('sha256');
  await pipeline(await keeper.read(sha256, 0, (await keeper.size(sha256)) ?? 0), hash);
  return hash.digest('hex') === sha256;
}
