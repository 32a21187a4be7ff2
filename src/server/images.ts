/**
 * Pictures by their SHA-256, one file each under `images/`. A file gets its name only after its bytes were
 * hashed and are on disk, so a name never stands for something half written.
 */
import { createHash, randomUUID } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { type FileHandle, mkdir, open, readdir, readFile, rename, rm, stat } from 'node:fs/promises';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { dirname, join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { setTimeout as delay } from 'node:timers/promises';
import { bodyPieces } from './body.ts';
import { type PictureDoor, pictureDoor } from './picture-door.ts';
import { type PictureRoom, pictureRoom, type RoomLimits } from './picture-room.ts';
import { Refusal } from './refusal.ts';

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
  /** Bytes of this sender's own upload that were received so far, before it is whole. */
  received(sha256: string, owner: string): Promise<number>;
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
  names(): AsyncIterable<{ readonly sha256: string; readonly byteLength: number }>;
  /** Bytes of all that is kept, unfinished uploads too. */
  keptBytes(): Promise<number>;
  /** Lets go of what looks at pictures. */
  close(): Promise<void>;
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

/** Who is told what becomes of pictures. */
export interface PictureNews {
  /** Somebody asked for one that is not here, or it was set aside. */
  missed(sha256: string): void;
  came(sha256: string): void;
}

const noLimits: RoomLimits = { pictureBytes: Number.POSITIVE_INFINITY, freeBytes: 0 };

interface Sender {
  readonly request: IncomingMessage;
  /** As of `performance.now`: when its last bytes came. */
  heardMs: number;
  readonly ended: Promise<void>;
}

/** `limits`: for uploads; what the server itself keeps from its shots folder counts, and is never refused. */
export async function images(
  folder: string,
  limits: RoomLimits = noLimits,
  news?: PictureNews,
): Promise<Images> {
  const partFolder = join(folder, 'parts');
  const asideFolder = join(folder, 'not-as-named');
  await mkdir(partFolder, { recursive: true });
  await dropOldParts(partFolder);
  const door: PictureDoor = pictureDoor();
  const room: PictureRoom = pictureRoom(folder, limits);
  const place = (sha256: string): string => join(folder, sha256.slice(0, 2), sha256);
  /** A digest, since an owner's id is no file name. */
  const part = (sha256: string, owner: string): string =>
    join(partFolder, `${sha256}-${createHash('sha256').update(owner).digest('hex').slice(0, 16)}`);
  /** By part: whoever writes it, then those who wait, in order. */
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

  const sizeOf = async (file: string): Promise<number | undefined> =>
    (await stat(file).catch(() => undefined))?.size;

  const settle = async (file: string, sha256: string): Promise<void> => {
    await withFile(file, 'r+', (handle) => handle.sync());
    await mkdir(dirname(place(sha256)), { recursive: true });
    await rename(file, place(sha256));
    await withFile(dirname(place(sha256)), 'r', (parent) => parent.sync());
    news?.came(sha256);
  };

  const has = async (sha256: string): Promise<boolean> => (await sizeOf(place(sha256))) !== undefined;
  const received = async (sha256: string, owner: string): Promise<number> =>
    (await sizeOf(part(sha256, owner))) ?? 0;

  const sound = async (sha256: string): Promise<boolean> => {
    if (!(await has(sha256))) return false;
    if ((await hashOf(place(sha256))) === sha256) return true;
    // Kept, since someone may want to know what happened; but no longer under this name.
    await mkdir(asideFolder, { recursive: true });
    await rename(place(sha256), join(asideFolder, `${sha256}-${randomUUID()}`));
    news?.missed(sha256);
    return false;
  };

  const take = async (
    sender: Sender,
    file: string,
    sha256: string,
    start: number,
    total: number,
  ): Promise<boolean> => {
    if (await has(sha256)) {
      room.changed(-((await sizeOf(file)) ?? 0));
      await rm(file, { force: true });
      return true;
    }
    const here = (await sizeOf(file)) ?? 0;
    if (start > here) {
      throw new Refusal(409, 'gap', `The next byte wanted is ${here}.`, { 'upload-offset': String(here) });
    }
    const settleRoom = await room.claim(Math.max(0, total - here));
    try {
      // What comes again is written over itself; the hash settles which was right.
      await withFile(file, here === 0 ? 'w' : 'r+', (handle) => write(handle, sender, start, total));
      if (((await sizeOf(file)) ?? 0) < total) return false;
      if ((await hashOf(file)) !== sha256) {
        await rm(file, { force: true });
        throw new Refusal(422, 'hash', 'The picture arrived changed; it is sent again from the start.');
      }
      await door.check(file).catch(async (error: unknown) => {
        // Sent again it would be the same.
        if (error instanceof Refusal) await rm(file, { force: true });
        throw error;
      });
    } finally {
      settleRoom(((await sizeOf(file)) ?? 0) - here);
    }
    await settle(file, sha256);
    return true;
  };

  /** Hands a picture out whole. One that is not what its name says is set aside after it: the tablet finds that too. */
  const sendWhole = async (sha256: string, response: ServerResponse): Promise<void> => {
    const nowMs = performance.now();
    const file = createReadStream(place(sha256));
    if (nowMs - (sounded.get(sha256) ?? Number.NEGATIVE_INFINITY) < soundMs) {
      await pipeline(file, response);
      return;
    }
    const hash = createHash('sha256');
    await pipeline(
      file,
      async function* (pieces: AsyncIterable<Buffer>) {
        for await (const piece of pieces) {
          hash.update(piece);
          yield piece;
        }
      },
      response,
    );
    if (hash.digest('hex') !== sha256) {
      await sound(sha256);
      return;
    }
    if (sounded.size >= mostSound) sounded.clear();
    sounded.set(sha256, nowMs);
  };

  return {
    keptBytes: () => room.used(),
    close: () => door.close(),
    has,
    sound,
    async *names() {
      for (const { name } of await readdir(folder, { withFileTypes: true })) {
        if (!/^[0-9a-f]{2}$/.test(name)) continue;
        for (const sha256 of await readdir(join(folder, name))) {
          const byteLength = await sizeOf(place(sha256));
          if (byteLength !== undefined) yield { sha256, byteLength };
        }
      }
    },
    received,
    bytes: async (sha256) => ((await has(sha256)) ? readFile(place(sha256)) : undefined),

    async keep(sha256, bytes) {
      if (await has(sha256)) return;
      if (createHash('sha256').update(bytes).digest('hex') !== sha256) {
        throw new Error('A picture changed while it was read.');
      }
      const file = join(partFolder, randomUUID());
      try {
        await withFile(file, 'wx', (handle) => handle.writeFile(bytes));
        await settle(file, sha256);
        room.changed(bytes.length);
      } catch (error) {
        await rm(file, { force: true });
        throw error;
      }
    },

    async send(request, response, sha256) {
      const size = await sizeOf(place(sha256));
      if (size === undefined) {
        news?.missed(sha256);
        throw new Refusal(404, 'missing', 'This picture is not on the studio server.');
      }
      const etag = `"${sha256}"`;
      response.setHeaders(
        new Map([
          ['content-type', await mediaType(place(sha256))],
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
      if (range) response.setHeader('content-range', `bytes ${start}-${end - 1}/${size}`);
      response.writeHead(range ? 206 : 200, { 'content-length': end - start });
      if (request.method === 'HEAD' || size === 0) response.end();
      else if (end - start === size) await sendWhole(sha256, response);
      else await pipeline(createReadStream(place(sha256), { start, end: end - 1 }), response);
    },

    async receive(request, sha256, owner, start, total) {
      const file = part(sha256, owner);
      const queue = senders.get(file) ?? [];
      senders.set(file, queue);
      let end = (): void => undefined;
      const ended = new Promise<void>((resolve) => {
        end = resolve;
      });
      const sender: Sender = { request, heardMs: performance.now(), ended };
      queue.push(sender);
      try {
        await turn(queue, sender);
        return await take(sender, file, sha256, start, total);
      } finally {
        queue.splice(queue.indexOf(sender), 1);
        if (queue.length === 0) senders.delete(file);
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

/** Uploads nobody went on with for a week. */
async function dropOldParts(folder: string): Promise<void> {
  for (const name of await readdir(folder)) {
    const { mtimeMs } = await stat(join(folder, name));
    if (Date.now() - mtimeMs > 7 * 86_400_000) await rm(join(folder, name), { force: true });
  }
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

const signatures: readonly (readonly [type: string, hex: string])[] = [
  ['image/png', '89504e47'],
  ['image/jpeg', 'ffd8ff'],
  ['image/webp', '52494646'],
  ['image/tiff', '49492a00'],
  ['image/tiff', '4d4d002a'],
];

async function mediaType(file: string): Promise<string> {
  const { buffer } = await withFile(file, 'r', (handle) => handle.read(Buffer.alloc(4), 0, 4, 0));
  const hex = buffer.toString('hex');
  return signatures.find(([, start]) => hex.startsWith(start))?.[0] ?? 'application/octet-stream';
}

async function withFile<T>(file: string, flags: string, use: (handle: FileHandle) => Promise<T>): Promise<T> {
  const handle = await open(file, flags);
  try {
    return await use(handle);
  } finally {
    await handle.close();
  }
}
