/** A network that the test breaks as it likes, a clock it turns by hand, tablets on a shelf in memory. */
import { createHash } from 'node:crypto';
import { deflateSync } from 'node:zlib';
import { firstStamp, latestStamp, receive, tick } from '../../../src/note/clock.ts';
import type { Body, Entry, Person } from '../../../src/note/entry.ts';
import { isOfShot } from '../../../src/note/origin.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import type { NewImage, Shelf } from '../../../src/shelf/types.ts';
import type { ImageRef, Shot } from '../../../src/shot/model.ts';
import type { Platform } from '../../../src/sync/platform.ts';
import type { Fetch } from '../../../src/sync/studio.ts';
import { openSync, type Sync } from '../../../src/sync/sync.ts';
import { putShot } from '../../support/put-shot.ts';
import { chunk, signature } from '../intake/png-files.ts';

/** How one request fares: `lost` the server answers and nobody hears, `twice` it is delivered twice. */
export type Fate = 'through' | 'down' | 'lost' | 'twice';

export interface Network {
  readonly fetch: Fetch;
  /** Decides each request's fate; `through` unless set. */
  fate: (path: string, init?: RequestInit) => Fate;
  /** Method and path of everything asked, in order. */
  readonly asked: string[];
}

export function network(): Network {
  const self: Network = {
    fate: () => 'through',
    asked: [],
    async fetch(input, init) {
      self.asked.push(`${init?.method ?? 'GET'} ${input.pathname}`);
      const fate = self.fate(input.pathname, init);
      if (fate === 'down') throw new TypeError('fetch failed');
      const response = await fetch(input, init);
      if (fate === 'through') return response;
      if (fate === 'twice') {
        await response.arrayBuffer();
        return fetch(input, init);
      }
      await response.arrayBuffer();
      throw new TypeError('connection reset');
    },
  };
  return self;
}

export interface HandPlatform extends Platform {
  turn(to: 'wake' | 'hide'): void;
  /** Rings every timer that is set. */
  ring(): void;
  readonly timers: readonly number[];
  laterAsked: number;
}

export function handPlatform(): HandPlatform {
  const timers = new Map<symbol, { ms: number; call: () => void }>();
  const turns = new Set<(to: 'wake' | 'hide') => void>();
  let visible = true;
  return {
    random: () => 0.5,
    after(ms, call) {
      const key = Symbol('timer');
      timers.set(key, { ms, call });
      return () => timers.delete(key);
    },
    visible: () => visible,
    onTurn(turn) {
      turns.add(turn);
      return () => turns.delete(turn);
    },
    sendLater() {
      this.laterAsked++;
    },
    sha256: (bytes) => Promise.resolve(sha256(Buffer.from(bytes))),
    turn(to) {
      visible = to === 'wake';
      for (const turn of turns) turn(to);
    },
    ring() {
      const due = [...timers.values()];
      timers.clear();
      for (const { call } of due) call();
    },
    get timers() {
      return [...timers.values()].map(({ ms }) => ms);
    },
    laterAsked: 0,
  };
}

export const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

const dot = { width: 1, height: 1, channels: 1, data: new Uint8Array(1) } as const;

/** Stands in for intake's worker: the shelf's sizes are not what these tests are about. */
export const makeImage = (file: ArrayBuffer, ref: ImageRef): Promise<NewImage> =>
  Promise.resolve({ ref, file, thumb: dot, flip: dot });

export interface Tablet {
  readonly shelf: Shelf;
  readonly sync: Sync;
  readonly net: Network;
  readonly platform: HandPlatform;
  /** Writes an entry as the desk does. */
  write(body: Body, skewMs?: number): Promise<Entry>;
  /** Of what is said of the shot, besides what it is made of. */
  ids(shotId?: string): Promise<string[]>;
}

let written = 0;

export function tablet(
  base: URL,
  person: Person,
  shelf: Shelf = memoryShelf(),
  net: Network = network(),
): Tablet {
  const platform = handPlatform();
  const sync = openSync({ shelf, base, makeImage, fetch: net.fetch, platform });
  let clock = firstStamp;
  return {
    shelf,
    sync,
    net,
    platform,
    async write(body, skewMs = 0) {
      const seen = latestStamp((await shelf.entries('shot-1')).map((entry) => entry.stamp));
      clock = tick(receive(clock, seen, 0), Date.now() + skewMs);
      const writer = sync.person.value ?? person;
      const entry: Entry = {
        v: 1,
        id: `${person.name}-${++written}`,
        shot: 'shot-1',
        writer,
        stamp: clock,
        body,
      };
      await shelf.addEntries([entry], 'here');
      return entry;
    },
    async ids(shotId = 'shot-1') {
      const entries = await shelf.entries(shotId);
      return entries.flatMap((entry) => (isOfShot(entry) ? [] : [entry.id])).sort();
    },
  };
}

/**
 * A picture's bytes and what a shot says of it: a real PNG of 40 × 30 px, other pixels for another seed (to 255), brought to
 * its length (200 bytes or more) by a chunk that decoders pass over (PNG 3rd edition, 5.4: ancillary and private).
 */
export function picture(seed: number, byteLength = 5000): { bytes: Uint8Array<ArrayBuffer>; ref: ImageRef } {
  const [width, height] = [40, 30];
  const rows = Buffer.alloc((width + 1) * height);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) rows[y * (width + 1) + 1 + x] = (x * 5 + seed * 97) & 255;
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([8, 0, 0, 0, 0], 8);
  const before = Buffer.concat([signature, chunk('IHDR', header)]);
  const after = Buffer.concat([chunk('IDAT', deflateSync(rows)), chunk('IEND')]);
  const filling = Uint8Array.from(
    { length: byteLength - before.length - after.length - 12 },
    (_, n) => (n * 31 + seed * 97 + (n >> 8)) & 255,
  );
  const bytes = new Uint8Array(Buffer.concat([before, chunk('fpAd', filling), after]));
  const ref = { sha256: sha256(bytes), width, height, mediaType: 'image/png', byteLength };
  return { bytes, ref };
}

/** A shot of pictures: the first a rough, the others its takes. */
export function shotOf(refs: readonly ImageRef[], id = 'shot-1'): Shot {
  const [rough, ...cleans] = refs;
  const takes = cleans.map((image, n) => ({ number: n + 1, image }));
  const drawing = { label: '1', ...(rough && { rough }), takes };
  const exposures = [{ drawing: '1', frame: 1, length: 2 }];
  return {
    id,
    title: 'Lantern',
    fps: 24,
    sizePx: [40, 30],
    levels: [{ name: '', drawings: [drawing], exposures }],
  };
}

export async function shelve(
  shelf: Shelf,
  pictures: readonly ReturnType<typeof picture>[],
  id?: string,
): Promise<Shot> {
  for (const { bytes, ref } of pictures) await shelf.keepImage(await makeImage(bytes.slice().buffer, ref));
  const shot = shotOf(
    pictures.map(({ ref }) => ref),
    id,
  );
  return putShot(shelf, shot);
}
