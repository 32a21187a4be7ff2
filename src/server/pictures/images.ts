/**
 * The pictures of the studio as tablets see them: taken in pieces, checked, and handed out whole or in ranges. Where they
 * lie is the keeper's affair (`keeper.ts`).
 */
import { createHash, randomUUID } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { type FileHandle, open, rm, writeFile } from 'node:fs/promises';
import type { IncomingMessage, ServerResponse } from 'node:http';
import type { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { setTimeout as delay } from 'node:timers/promises';
import { bodyPieces } from '../body.ts';
import { Refusal } from '../refusal.ts';
import { hashed } from './hashed.ts';
import { type Keeper, type Kept, notHere } from './keeper.ts';
import { fileSize, uploadParts } from './parts.ts';
import { pictureDoor } from './picture-door.ts';
import { pictureRoom, type RoomLimits } from './picture-room.ts';

export interface Images {
  has(sha256: string): Promise<boolean>;
  /** Undefined when it is not here. */
  bytes(sha256: string): Promise<Uint8Array | undefined>;
  /** Keeps bytes that are at hand; rejects when their hash is another (a file that changed meanwhile). */
  keep(sha256: string, bytes: Uint8Array): Promise<void>;
  /** Answers GET and HEAD, with ranges. */
  send(request: IncomingMessage, response: ServerResponse, sha256: string): Promise<void>;
  /** Like `has`, and its bytes are read again: one that is not what its name says is set aside. */
  sound(sha256: string): Promise<boolean>;
  /** Whether it is kept, and how many bytes of this sender's own upload were received before that. */
  uploaded(sha256: string, owner: string): Promise<{ readonly whole: boolean; readonly received: number }>;
  /**
   * Takes the next piece of an upload, from byte `start` of `total`. Resolves to true when the picture is
   * whole and kept. Refuses a piece that does not follow on what is here, bytes of another hash, and a picture that
   * no tablet can take. Each
   * `owner` (a pass) has a part of its own, so that nobody's bytes or lengths spoil another's. Requests of one
   * owner for one picture take turns; one that has fallen silent is cut off for the next.
   */
  receive(
    request: IncomingMessage,
    sha256: string,
    owner: string,
    start: number,
    total: number,
  ): Promise<boolean>;
  /** All that are here, in no order. */
  names(): AsyncIterable<Kept>;
  /** Bytes of all that is kept, unfinished uploads too. */
  keptBytes(): Promise<number>;
  /** Lets go of what looks at pictures, and of the keeper. */
  close(): Promise<void>;
}

export interface ImagesNeeds {
  readonly keeper: Keeper;
  /** For uploads; what the server itself keeps from its shots folder counts, and is never refused. */
  readonly limits?: RoomLimits;
  readonly news?: PictureNews;
  readonly log?: (line: string) => void;
}

/** Who is told what becomes of pictures. */
export interface PictureNews {
  /** Somebody asked for one that is not here, or it was set aside. */
  missed(sha256: string): void;
  came(sha256: string): void;
}

/**
 * A tablet that lost its network and comes back sends again while its first connection still looks alive here.
 * So long silence gives way to whoever is waiting.
 */
const silentMs = 2000;
const lookMs = 200;

/** A picture that is handed out whole is held against its name, once in so long. */
const soundMs = 86_400_000;
/** Remembered as sound. */
const mostSound = 100_000;

const noLimits: RoomLimits = { pictureBytes: Number.POSITIVE_INFINITY, freeBytes: 0 };

interface Sender {
  readonly request: IncomingMessage;
  /** As of `performance.now`: when its last bytes came. */
  heardMs: number;
  readonly ended: Promise<void>;
}

export async function images({
  keeper,
  limits = noLimits,
  news,
  log = () => undefined,
}: ImagesNeeds): Promise<Images> {
  const parts = await uploadParts(keeper.partsFolder, keeper.isShared ? randomUUID() : '');
  const door = pictureDoor();
  const room = pictureRoom({ used: () => keeper.usedBytes(), disk: keeper.partsFolder, limits });
  /** By owner and picture: whoever writes it, then those who wait, in order. */
  const senders = new Map<string, Sender[]>();
  /** As of `performance.now`: when each was last read and was what its name says. */
  const sounded = new Map<string, number>();

  /** Resolves once it is the first in the queue. Who joins is placed at once: two can never both be first. */
  const turn = async (queue: readonly Sender[], sender: Sender): Promise<void> => {
    for (let first = queue[0]; first && first !== sender; first = queue[0]) {
      await Promise.race([first.ended, delay(lookMs)]);
      if (performance.now() - first.heardMs > silentMs) first.request.destroy();
    }
    sender.heardMs = performance.now();
  };

  const has = async (sha256: string): Promise<boolean> => (await keeper.size(sha256)) !== undefined;

  const put = async (sha256: string, file: string): Promise<void> => {
    await keeper.put(sha256, file);
    news?.came(sha256);
  };

  /** By picture: two who sent the same put one after the other. */
  const putting = new Map<string, Promise<boolean>>();
  /** Puts one that is whole and checked; the keeper may have been out of reach before. False where there is none. */
  const putWaiting = (sha256: string): Promise<boolean> => {
    const before = putting.get(sha256)?.catch(() => false) ?? Promise.resolve(false);
    const mine = before.then(async (isPut) => {
      const file = await parts.waiting(sha256);
      if (file === undefined) return isPut;
      await put(sha256, file);
      return true;
    });
    putting.set(sha256, mine);
    const forget = (): void => {
      if (putting.get(sha256) === mine) putting.delete(sha256);
    };
    mine.then(forget, forget);
    return mine;
  };

  /** By picture: several who doubt it at one time wait for one reading, and it is set aside once. */
  const soundings = new Map<string, Promise<boolean>>();
  const sound = (sha256: string): Promise<boolean> => {
    const mine = soundings.get(sha256) ?? lookInto(sha256).finally(() => void soundings.delete(sha256));
    soundings.set(sha256, mine);
    return mine;
  };
  const lookInto = async (sha256: string): Promise<boolean> => {
    const size = await keeper.size(sha256);
    if (size === undefined) return false;
    const hash = createHash('sha256');
    await pipeline(await keeper.read(sha256, 0, size), hash);
    if (hash.digest('hex') === sha256) return true;
    sounded.delete(sha256);
    const aside = await keeper.setAside(sha256);
    log(
      `The picture ${sha256} in ${keeper.place} was not what its name says; what was there is kept as ${aside}.`,
    );
    news?.missed(sha256);
    return false;
  };

  const take = async (
    sender: Sender,
    owner: string,
    sha256: string,
    start: number,
    total: number,
  ): Promise<boolean> => {
    if ((await has(sha256)) || (await putWaiting(sha256))) {
      room.changed(-(await parts.drop(sha256, owner)));
      return true;
    }
    const file = await parts.file(sha256, owner);
    const here = (await fileSize(file)) ?? 0;
    if (start > here) {
      throw new Refusal(409, 'gap', `The next byte wanted is ${here}.`, { 'upload-offset': String(here) });
    }
    const settleRoom = await room.claim(Math.max(0, total - here));
    try {
      // What comes again is written over itself; the hash settles which was right.
      await withFile(file, here === 0 ? 'w' : 'r+', (handle) => write(handle, sender, start, total));
      if (((await fileSize(file)) ?? 0) < total) return false;
      if ((await hashOf(file)) !== sha256) {
        await parts.drop(sha256, owner);
        throw new Refusal(422, 'hash', 'The picture arrived changed; it is sent again from the start.');
      }
      await door.check(file).catch(async (error: unknown) => {
        // Sent again it would be the same.
        if (error instanceof Refusal) await parts.drop(sha256, owner);
        throw error;
      });
    } finally {
      settleRoom(((await fileSize(file)) ?? 0) - here);
    }
    // From here on it is nobody's own any more, and whoever sends it next need not send a byte.
    await parts.wait(sha256, file);
    await putWaiting(sha256);
    await parts.drop(sha256, owner);
    return true;
  };

  /** Hands a picture out whole. One that is not what its name says is set aside after it: the tablet finds that too. */
  const sendWhole = async (sha256: string, pieces: Readable, response: ServerResponse): Promise<void> => {
    const nowMs = performance.now();
    if (nowMs - (sounded.get(sha256) ?? Number.NEGATIVE_INFINITY) < soundMs) {
      await pipeline(pieces, response);
      return;
    }
    const hash = createHash('sha256');
    await pipeline(pieces, hashed(hash), response);
    if (hash.digest('hex') !== sha256) {
      await sound(sha256);
      return;
    }
    if (sounded.size >= mostSound) sounded.clear();
    sounded.set(sha256, nowMs);
  };

  return {
    keptBytes: () => room.used(),
    has,
    sound,
    names: () => keeper.names(),
    async close() {
      await door.close();
      await keeper.close();
    },

    async uploaded(sha256, owner) {
      if ((await has(sha256)) || (await putWaiting(sha256))) return { whole: true, received: 0 };
      return { whole: false, received: await parts.received(sha256, owner) };
    },

    async bytes(sha256) {
      const size = await keeper.size(sha256);
      if (size === undefined) return undefined;
      const pieces: Buffer[] = [];
      for await (const piece of await keeper.read(sha256, 0, size)) pieces.push(piece as Buffer);
      return Buffer.concat(pieces);
    },

    async keep(sha256, bytes) {
      if (await has(sha256)) return;
      if (createHash('sha256').update(bytes).digest('hex') !== sha256) {
        throw new Error('A picture changed while it was read.');
      }
      const file = parts.fresh(randomUUID());
      try {
        await writeFile(file, bytes, { flag: 'wx' });
        await put(sha256, file);
        room.changed(bytes.length);
      } catch (error) {
        await rm(file, { force: true });
        throw error;
      }
    },

    async send(request, response, sha256) {
      const size = await keeper.size(sha256);
      if (size === undefined) {
        news?.missed(sha256);
        throw notHere();
      }
      const etag = `"${sha256}"`;
      response.setHeaders(
        new Map([
          ['content-type', await keeper.mediaType(sha256)],
          ['cache-control', 'private, max-age=31536000, immutable'],
          ['etag', etag],
          ['accept-ranges', 'bytes'],
          // Opened by itself, a picture may run nothing.
          ['content-security-policy', "default-src 'none'; sandbox"],
        ]),
      );
      if (request.headers['if-none-match']?.includes(etag)) {
        response.writeHead(304).end();
        return;
      }
      const ifRange = request.headers['if-range'];
      const asked = ifRange === undefined || ifRange === etag ? request.headers.range : undefined;
      const range = readRange(asked, size);
      if (range === 'outside') {
        throw new Refusal(416, 'range', `The picture has ${size} bytes.`, {
          'content-range': `bytes */${size}`,
        });
      }
      const { start, end } = range ?? { start: 0, end: size };
      const hasBody = request.method !== 'HEAD' && size > 0;
      // Asked for before the head goes out: where it cannot be had, a refusal says so.
      const pieces = hasBody ? await keeper.read(sha256, start, end) : undefined;
      if (range) response.setHeader('content-range', `bytes ${start}-${end - 1}/${size}`);
      response.writeHead(range ? 206 : 200, { 'content-length': end - start });
      if (!pieces) response.end();
      else if (end - start === size) await sendWhole(sha256, pieces, response);
      else await pipeline(pieces, response);
    },

    async receive(request, sha256, owner, start, total) {
      const key = `${sha256} ${owner}`;
      const queue = senders.get(key) ?? [];
      senders.set(key, queue);
      let end = (): void => undefined;
      const ended = new Promise<void>((resolve) => {
        end = resolve;
      });
      const sender: Sender = { request, heardMs: performance.now(), ended };
      queue.push(sender);
      try {
        await turn(queue, sender);
        return await take(sender, owner, sha256, start, total);
      } finally {
        queue.splice(queue.indexOf(sender), 1);
        if (queue.length === 0) senders.delete(key);
        end();
      }
    },
  };
}

/** Writes what comes, from byte `start` of `total`; refuses more. */
async function write(handle: FileHandle, sender: Sender, start: number, total: number): Promise<void> {
  let at = start;
  // By hand: a stream that is cut off may still write after it has said that it ended.
  for await (const piece of bodyPieces(sender.request)) {
    sender.heardMs = performance.now();
    if (at + piece.length > total) throw tooMuch();
    for (let done = 0; done < piece.length; )
      done += (await handle.write(piece, done, piece.length - done, at + done)).bytesWritten;
    at += piece.length;
  }
  // What an earlier, longer announcement left behind it.
  if (at >= total) await handle.truncate(total);
}

const tooMuch = (): Refusal => new Refusal(400, 'length', 'More bytes came than were announced.');

async function hashOf(file: string): Promise<string> {
  const hash = createHash('sha256');
  await pipeline(createReadStream(file), hash);
  return hash.digest('hex');
}

/** One range of RFC 9110, 14.1.2; several, or none that is understood, mean the whole. */
export function readRange(
  header: string | undefined,
  size: number,
): { start: number; end: number } | 'outside' | undefined {
  const match = /^bytes=(\d*)-(\d*)$/.exec(header?.trim() ?? '');
  if (!match || (match[1] === '' && match[2] === '')) return undefined;
  const first = match[1] === '' ? Math.max(0, size - Number(match[2])) : Number(match[1]);
  const last = match[1] === '' || match[2] === '' ? size - 1 : Math.min(size - 1, Number(match[2]));
  if (match[1] !== '' && match[2] !== '' && Number(match[2]) < Number(match[1])) return undefined;
  return first >= size || last < first ? 'outside' : { start: first, end: last + 1 };
}

async function withFile<T>(file: string, flags: string, use: (handle: FileHandle) => Promise<T>): Promise<T> {
  const handle = await open(file, flags);
  try {
    return await use(handle);
  } finally {
    await handle.close();
  }
}
