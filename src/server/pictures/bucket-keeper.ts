/**
 * Pictures in an object store that speaks S3. An upload gathers in a folder of this machine and is put up when it is whole
 * and checked; the store is told its SHA-256 in the signature, and turns down other bytes. A put that was cut off leaves
 * nothing under the name, and is put again from the file.
 */
import { createHash, randomUUID } from 'node:crypto';
import { createWriteStream } from 'node:fs';
import { mkdir, open, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import {
  type BucketBody,
  type BucketPatience,
  type BucketPlace,
  openBucket,
  tagIn,
  toText,
} from './bucket.ts';
import { hashed } from './hashed.ts';
import {
  asideName,
  type Keeper,
  KeeperAway,
  type Kept,
  knownMediaType,
  mediaTypeOf,
  nameIn,
  notHere,
  pathOf,
} from './keeper.ts';

/** What was there a moment ago is taken as there: a batch of entries names the same pictures many times. */
const knownMs = 60_000;
const mostKnown = 10_000;

interface Head {
  readonly byteLength: number;
  readonly mediaType: string;
  readonly atMs: number;
}

/** `partsFolder`: of this machine. */
export function bucketKeeper(
  place: BucketPlace,
  partsFolder: string,
  log: (line: string) => void = () => undefined,
  patience: Partial<BucketPatience> = {},
): Keeper {
  const bucket = openBucket(place, log, patience);
  const known = new Map<string, Head>();

  const head = async (sha256: string): Promise<Head | undefined> => {
    const last = known.get(sha256);
    if (last && performance.now() - last.atMs < knownMs) return last;
    known.delete(sha256);
    const answer = await bucket.ask({ method: 'HEAD', key: pathOf(sha256) });
    if (answer.status === 404) return undefined;
    answer.body.resume();
    const found = {
      byteLength: Number(answer.headers['content-length']),
      mediaType: knownMediaType(answer.headers['content-type']),
      atMs: performance.now(),
    };
    if (known.size >= mostKnown) known.clear();
    known.set(sha256, found);
    return found;
  };

  const read = async (sha256: string, start: number, end: number): Promise<Readable> => {
    const range = { range: `bytes=${start}-${end - 1}` };
    const answer = await bucket.ask({
      method: 'GET',
      key: pathOf(sha256),
      ...(start < end && { headers: range }),
    });
    if (answer.status === 404) {
      known.delete(sha256);
      throw notHere();
    }
    const length = Number(answer.headers['content-length']);
    if (length === end - start) return answer.body;
    answer.body.destroy();
    known.delete(sha256);
    throw new KeeperAway(
      `The bucket ${place.url.href} answered ${answer.status} with ${length} bytes for ${end - start} of ${pathOf(sha256)}.`,
    );
  };

  const putFile = async (key: string, body: BucketBody, mediaType: string): Promise<void> => {
    const headers = { 'content-type': mediaType };
    await toText(await bucket.ask({ method: 'PUT', key, headers, body }));
  };
  const remove = async (key: string): Promise<void> => {
    const answer = await bucket.ask({ method: 'DELETE', key });
    if (answer.status !== 404) answer.body.resume();
  };

  /** Under the prefix; ListObjectsV2, a thousand at a time. */
  async function* listed(): AsyncGenerator<{ readonly key: string; readonly byteLength: number }> {
    for (let token: string | undefined; ; ) {
      const query = {
        'list-type': '2',
        prefix: place.prefix,
        ...(token !== undefined && { 'continuation-token': token }),
      };
      const xml = await toText(await bucket.ask({ method: 'GET', key: '', query }));
      for (const [contents] of xml.matchAll(/<Contents>.*?<\/Contents>/gs)) {
        const key = tagIn(contents, 'Key');
        if (key !== undefined) yield { key, byteLength: Number(tagIn(contents, 'Size')) };
      }
      if (tagIn(xml, 'IsTruncated') !== 'true') return;
      const next = tagIn(xml, 'NextContinuationToken');
      // Else it would go round for good.
      if (next === undefined || next === token)
        throw new KeeperAway(`The bucket ${place.url.href} does not go on with its list.`);
      token = next;
    }
  }

  return {
    place: `the bucket ${place.url.href}${place.prefix === '' ? '' : ` under ${place.prefix}`}`,
    partsFolder,
    isShared: true,
    size: async (sha256) => (await head(sha256))?.byteLength,
    async mediaType(sha256) {
      const found = await head(sha256);
      if (!found) throw notHere();
      return found.mediaType;
    },
    read,
    async put(sha256, file) {
      const { size } = await stat(file);
      const mediaType = mediaTypeOf(await headOf(file));
      await putFile(pathOf(sha256), { file, byteLength: size, sha256 }, mediaType);
      known.delete(sha256);
      await rm(file, { force: true });
    },
    async setAside(sha256) {
      known.delete(sha256);
      const key = `${asideName}/${sha256}-${randomUUID()}`;
      const found = await head(sha256);
      if (!found) return key;
      // Through this machine: a copy inside the store needs the bucket’s name, which an address may not tell.
      const file = join(partsFolder, `${randomUUID()}.aside`);
      await mkdir(partsFolder, { recursive: true });
      try {
        const hash = createHash('sha256');
        await pipeline(await read(sha256, 0, found.byteLength), hashed(hash), createWriteStream(file));
        const body = { file, byteLength: found.byteLength, sha256: hash.digest('hex') };
        await putFile(key, body, 'application/octet-stream');
        await remove(pathOf(sha256));
      } finally {
        known.delete(sha256);
        await rm(file, { force: true });
      }
      return key;
    },
    async *names(): AsyncGenerator<Kept> {
      for await (const { key, byteLength } of listed()) {
        const sha256 = nameIn(key.slice(place.prefix.length));
        if (sha256 !== undefined && key === place.prefix + pathOf(sha256)) yield { sha256, byteLength };
      }
    },
    async usedBytes() {
      let bytes = 0;
      for await (const { byteLength } of listed()) bytes += byteLength;
      return bytes;
    },
    async note(name) {
      const answer = await bucket.ask({ method: 'GET', key: noteKey(name) });
      return answer.status === 404 ? undefined : await toText(answer);
    },
    async setNote(name, text) {
      if (text === undefined) return remove(noteKey(name));
      const body = {
        text,
        byteLength: Buffer.byteLength(text),
        sha256: createHash('sha256').update(text).digest('hex'),
      };
      await putFile(noteKey(name), body, 'text/plain; charset=utf-8');
    },
    close: () => Promise.resolve(bucket.close()),
  };
}

const noteKey = (name: string): string => `fairpeg-${name}.txt`;

async function headOf(file: string): Promise<Uint8Array> {
  const handle = await open(file);
  try {
    return (await handle.read(Buffer.alloc(4), 0, 4, 0)).buffer;
  } finally {
    await handle.close();
  }
}
