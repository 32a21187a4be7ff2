/**
 * Pictures that entries name and the server has lost: the list of shots asks for them, and a tablet that holds one puts it
 * up again. They are found by a look through all that is kept, and one by one where somebody asks for a picture in vain.
 */
import type { ImageRef } from '../../shot/model.ts';
import type { Shots } from '../shots.ts';
import type { Images } from './images.ts';

export interface Lacking {
  /** By shot, SHA-256 of pictures that are not here now; at most a thousand in all, others once these came. */
  told(): Promise<ReadonlyMap<string, readonly string[]>>;
  /** Somebody asked for it, or an entry came that names it, and it may not be here. */
  missed(sha256: string): void;
  /** It is kept now. */
  came(sha256: string): void;
  /** Looks through everything; beside the looks that it makes by itself. */
  look(): Promise<void>;
  close(): Promise<void>;
}

export interface LackingNeeds {
  readonly shots: Pick<Shots, 'pictures'>;
  readonly images: Pick<Images, 'has' | 'names' | 'sound'>;
  /** Called when `told` may say something else than before; tablets are hinted at the list. */
  readonly changed: () => void;
  /** Between two looks. */
  readonly lookMs: number;
  /** How long what was missed, and what came, is gathered. */
  readonly gatherMs: number;
  readonly log: (line: string) => void;
}

/** A list of shots stays below 100 kB for them. */
const mostTold = 1000;
/** Of what was missed at one time; beyond it everything is looked through. */
const mostMissed = 1000;

export function lackingPictures({ shots, images, changed, lookMs, gatherMs, log }: LackingNeeds): Lacking {
  /** The shots that name each. One that came by another server of the house still stands here until it is to be told. */
  let lost = new Map<string, readonly string[]>();
  let missed = new Set<string>();
  let known:
    | { readonly atMs: number; readonly told: Promise<ReadonlyMap<string, readonly string[]>> }
    | undefined;
  let working = Promise.resolve();
  let gathering: NodeJS.Timeout | undefined;
  let changing: NodeJS.Timeout | undefined;
  let closed = false;
  let failing = false;

  const changeSoon = (): void => {
    known = undefined;
    changing ??= setTimeout(() => {
      changing = undefined;
      changed();
    }, gatherMs).unref();
  };

  const lookThrough = async (): Promise<void> => {
    const wanted = new Map<string, { readonly byteLength: number; readonly shots: string[] }>();
    for (const [shot, image] of named(await shots.pictures())) {
      const { sha256, byteLength } = image;
      const of = wanted.get(sha256) ?? { byteLength, shots: [] };
      of.shots.push(shot);
      wanted.set(sha256, of);
    }
    for await (const { sha256, byteLength } of images.names()) {
      if (closed) return;
      const of = wanted.get(sha256);
      // Of another length its bytes are read, and set aside unless an entry told the wrong length.
      if (of && (of.byteLength === byteLength || (await images.sound(sha256)))) wanted.delete(sha256);
    }
    const fresh = [...wanted.keys()].filter((sha256) => !lost.has(sha256));
    lost = new Map([...wanted].map(([sha256, of]) => [sha256, of.shots]));
    if (fresh.length > 0) await say(fresh);
  };

  /** Of those that were missed, which are named and not here. */
  const sift = async (): Promise<void> => {
    const asked = missed;
    missed = new Set();
    if (asked.size >= mostMissed) return lookThrough();
    const found = new Map<string, string[]>();
    for (const [shot, { sha256 }] of named(await shots.pictures()))
      if (asked.has(sha256)) found.set(sha256, [...(found.get(sha256) ?? []), shot]);
    const fresh: string[] = [];
    for (const [sha256, of] of found) {
      if (lost.has(sha256) || (await images.has(sha256))) continue;
      lost.set(sha256, of);
      fresh.push(sha256);
    }
    if (fresh.length > 0) await say(fresh);
  };

  const say = async (fresh: readonly string[]): Promise<void> => {
    changeSoon();
    const [first = ''] = fresh;
    const more = fresh.length === 1 ? '' : `, and ${fresh.length - 1} more`;
    log(
      `The picture ${first}${more}, named by entries of shot ${lost.get(first)?.[0]}, is not here. Tablets that hold it are asked to put it up again.`,
    );
  };

  const work = (task: () => Promise<void>): Promise<void> => {
    working = working.then(async () => {
      if (closed) return;
      try {
        await task();
        failing = false;
      } catch (error) {
        // What keeps pictures, or the database, is away: the next look asks again.
        if (!failing && !closed)
          log(
            `What pictures are lacking could not be found out: ${error instanceof Error ? error.message : String(error)}`,
          );
        failing = true;
      }
    });
    return working;
  };

  const tell = async (): Promise<ReadonlyMap<string, readonly string[]>> => {
    const told = new Map<string, string[]>();
    let count = 0;
    for (const [sha256, of] of lost) {
      if (count >= mostTold) break;
      if (await images.has(sha256)) {
        lost.delete(sha256);
        continue;
      }
      count++;
      for (const shot of of) told.set(shot, [...(told.get(shot) ?? []), sha256]);
    }
    return told;
  };

  void work(lookThrough);
  const timer = setInterval(() => void work(lookThrough), lookMs).unref();

  return {
    told() {
      const nowMs = performance.now();
      if (!known || nowMs - known.atMs > 2000) {
        const telling = { atMs: nowMs, told: tell() };
        telling.told.catch(() => known === telling && (known = undefined));
        known = telling;
      }
      return known.told;
    },
    missed(sha256) {
      if (closed || missed.size >= mostMissed) return;
      missed.add(sha256);
      gathering ??= setTimeout(() => {
        gathering = undefined;
        void work(sift);
      }, gatherMs).unref();
    },
    came(sha256) {
      missed.delete(sha256);
      // Those that lack it, too, look at the list then.
      if (lost.delete(sha256)) changeSoon();
    },
    look: () => work(lookThrough),
    async close() {
      closed = true;
      clearInterval(timer);
      clearTimeout(gathering);
      clearTimeout(changing);
      await working;
    },
  };
}

function* named(
  pictures: ReadonlyMap<string, readonly ImageRef[]>,
): Generator<readonly [shot: string, image: ImageRef]> {
  for (const [shot, images] of pictures) for (const image of images) yield [shot, image];
}
