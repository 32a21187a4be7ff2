/** Shots as their entries make them, made anew when one of those arrives. */
import { shotOf } from '../note/shot-of.ts';
import { imagesOf } from '../shot/images-of.ts';
import type { ImageRef } from '../shot/model.ts';
import type { OfferedShot } from '../wire/shots.ts';
import type { ShotStore } from './store/types.ts';

export interface Shots {
  /** Every shot of which there is a drawing, in short; by title, then id. */
  offered(): Promise<Offer[]>;
  /** By shot, the pictures that its entries name. */
  pictures(): Promise<ReadonlyMap<string, readonly ImageRef[]>>;
}

/** What is known of a shot without a look at its pictures' files. */
export type Offer = Omit<OfferedShot, 'lacking'>;

interface Projection {
  readonly short: Omit<Offer, 'last' | 'lastId' | 'inFolder'>;
  readonly pictures: readonly ImageRef[];
}

export function shotsIn(store: ShotStore): Shots {
  /** Promises, so that a shot which several ask for at once is made once. */
  const made = new Map<string, { readonly at: number; readonly shot: Promise<Projection | undefined> }>();
  const madeAt = (id: string, at: number): Promise<Projection | undefined> => {
    const known = made.get(id);
    if (known?.at === at) return known.shot;
    const now = { at, shot: project(id, at, store) };
    made.set(id, now);
    // One that failed is made again when it is next asked for.
    now.shot.catch(() => made.get(id) === now && made.delete(id));
    return now.shot;
  };
  return {
    async offered() {
      const inFolder = new Set((await store.folders()).values());
      const shots: Offer[] = [];
      for (const [id, { paper, last, lastId }] of await store.paperShots()) {
        const shot = await madeAt(id, paper);
        if (shot) shots.push({ ...shot.short, last, lastId, inFolder: inFolder.has(id) });
      }
      return shots.sort((a, b) => compare(a.title, b.title) || compare(a.id, b.id));
    },
    async pictures() {
      const pictures = new Map<string, readonly ImageRef[]>();
      for (const [id, { paper }] of await store.paperShots())
        pictures.set(id, (await madeAt(id, paper))?.pictures ?? []);
      return pictures;
    },
  };
}

async function project(id: string, at: number, store: ShotStore): Promise<Projection | undefined> {
  const shot = shotOf(id, await store.paper(id));
  if (!shot) return undefined;
  const drawings = shot.levels.flatMap((level) => level.drawings);
  const pictures = imagesOf(shot);
  return {
    short: {
      id,
      title: shot.title,
      version: String(at),
      drawings: drawings.length,
      clean: drawings.filter(({ takes }) => takes.length > 0).length,
      byteLength: pictures.reduce((sum, { byteLength }) => sum + byteLength, 0),
    },
    pictures,
  };
}

const compare = (a: string, b: string): number => (a < b ? -1 : Number(a > b));
