/** What the studio offers and what of it lies on this tablet: kept, followed, put up. */
import { computed, type ReadonlySignal, signal } from '@preact/signals';
import { imagesOf } from '../shot/images-of.ts';
import type { Shot } from '../shot/model.ts';
import { fetchShot, type ImageNeeds, putUpShot, type Wanted } from './images.ts';
import { type OfferedShot, StudioError } from './studio.ts';
import { withOwn } from './with-own.ts';

export interface Offered extends OfferedShot {
  /** On this tablet's shelf. */
  readonly kept: boolean;
  /** This tablet has drawings of it that the studio does not have. */
  readonly lacksOurs: boolean;
  /** And they may be put up. */
  readonly wantsOurs: boolean;
}

export interface Offers {
  /** Empty while the studio was not reached. */
  readonly offered: ReadonlySignal<readonly Offered[]>;
  /** Told what lies on the shelf now. */
  readonly shelve: (shots: readonly Shot[]) => void;
  readonly onShelf: (shotId: string) => boolean;
  /** Asks the studio; resolves to the place of each shot's last entry. */
  readonly list: () => Promise<ReadonlyMap<string, number>>;
  /** Fetches what changed of the shots that are followed: a new take, a new drawing. */
  readonly freshen: () => Promise<void>;
  readonly keep: (shotId: string, wanted?: Wanted) => Promise<void>;
  readonly putUp: (shotId: string, wanted?: Wanted) => Promise<void>;
}

const keptKey = 'sync:kept versions';

const bytesOf = (shot: Shot): number => imagesOf(shot).reduce((sum, { byteLength }) => sum + byteLength, 0);

export function createOffers(needs: ImageNeeds): Offers {
  const { shelf, studio } = needs;
  /** Shots on the shelf, and the bytes of all their pictures. */
  const shelved = signal<ReadonlyMap<string, number>>(new Map());
  const listed = signal<readonly OfferedShot[]>([]);
  const offered = computed(() =>
    listed.value.map((shot) => {
      // What the studio has is laid over ours, so ours is larger only by what is ours alone.
      const bytes = shelved.value.get(shot.id);
      const lacksOurs = bytes !== undefined && bytes > shot.byteLength;
      return { ...shot, kept: bytes !== undefined, lacksOurs, wantsOurs: lacksOurs && !shot.inFolder };
    }),
  );

  const versions = async (): Promise<Readonly<Record<string, string>>> =>
    (await shelf.value<Record<string, string>>(keptKey)) ?? {};
  const follow = async (id: string, version: string): Promise<void> =>
    shelf.keepValue(keptKey, { ...(await versions()), [id]: version });

  return {
    offered,
    shelve(shots) {
      shelved.value = new Map(shots.map((shot) => [shot.id, bytesOf(shot)]));
    },
    onShelf: (shotId) => shelved.peek().has(shotId),
    async list() {
      listed.value = await studio.shots();
      return new Map(listed.value.map(({ id, last }) => [id, last]));
    },
    async freshen() {
      const followed = await versions();
      for (const { id, version } of listed.value) {
        if (followed[id] === undefined || followed[id] === version || !shelved.value.has(id)) continue;
        await fetchShot(needs, await studio.shot(id));
        await follow(id, version);
      }
    },
    async keep(shotId, wanted) {
      const before = listed.value.find(({ id }) => id === shotId);
      await fetchShot(needs, await studio.shot(shotId), wanted);
      // A version read before the fetch: if it is older, the next look fetches again.
      await follow(shotId, before?.version ?? '');
    },
    async putUp(shotId, wanted) {
      const shot = await shelf.shot(shotId);
      if (!shot) throw new StudioError('refused', 'This shot is not on this tablet any more.');
      // What others put up meanwhile stays there.
      const theirs = listed.value.some(({ id }) => id === shotId) ? await studio.shot(shotId) : undefined;
      await putUpShot(needs, withOwn(shot, theirs), wanted);
      // From now on it is followed here, too.
      await follow(shotId, '');
    },
  };
}
