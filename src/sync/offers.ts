/** What the studio offers and what of it lies on this tablet: kept, followed, put up. */
import { computed, type ReadonlySignal, signal } from '@preact/signals';
import { imagesOf } from '../shot/images-of.ts';
import type { Shot } from '../shot/model.ts';
import type { OfferedShot } from '../wire/shots.ts';
import { fetchShot, type ImageNeeds, putUpShot, type Wanted } from './images.ts';
import { OtherVersion, StudioError } from './studio-answers.ts';
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
  /** Fetches what is new of the shots on this shelf: a new take, a new drawing. */
  readonly freshen: () => Promise<void>;
  readonly keep: (shotId: string, wanted?: Wanted) => Promise<void>;
  readonly putUp: (shotId: string, wanted?: Wanted) => Promise<void>;
}

/** What is known of the studio's side of a shot that is followed here. */
interface Followed {
  /** Empty where it must be looked at again. */
  readonly version: string;
  readonly shot: Shot;
}

const keyOf = (shotId: string): string => `sync:at the studio:${shotId}`;
/** How often a shot is put up anew because someone else was faster. */
const tries = 5;

const bytesOf = (shot: Shot): number => imagesOf(shot).reduce((sum, { byteLength }) => sum + byteLength, 0);

/** Pictures of ours that the studio does not have; by their bytes where it is not known which it has. */
function isMoreHere(ours: Shot, followed: Followed | undefined, atStudio: OfferedShot): boolean {
  // What the studio has is laid over ours, so ours is larger only by what is ours alone.
  if (!followed) return bytesOf(ours) > atStudio.byteLength;
  const theirs = new Set(imagesOf(followed.shot).map(({ sha256 }) => sha256));
  return imagesOf(ours).some(({ sha256 }) => !theirs.has(sha256));
}

export function createOffers(needs: ImageNeeds): Offers {
  const { shelf, studio } = needs;
  const shelved = signal<ReadonlyMap<string, Shot>>(new Map());
  const listed = signal<readonly OfferedShot[]>([]);
  /** As read from the shelf; absent for shots that were not looked up yet. */
  const followed = signal<ReadonlyMap<string, Followed | undefined>>(new Map());
  const offered = computed(() =>
    listed.value.map((shot) => {
      const ours = shelved.value.get(shot.id);
      const lacksOurs = ours !== undefined && isMoreHere(ours, followed.value.get(shot.id), shot);
      return { ...shot, kept: ours !== undefined, lacksOurs, wantsOurs: lacksOurs && !shot.inFolder };
    }),
  );

  const lookUp = async (id: string): Promise<Followed | undefined> => {
    const known = await shelf.value<Followed>(keyOf(id));
    followed.value = new Map(followed.peek()).set(id, known);
    return known;
  };
  const follow = async (known: Followed): Promise<void> => {
    const { id } = known.shot;
    await shelf.keepValue(keyOf(id), known);
    followed.value = new Map(followed.peek()).set(id, known);
  };
  /** Fetches the shot; `before`: how the studio listed it. */
  const fetchAndFollow = async (shotId: string, wanted?: Wanted): Promise<void> => {
    const theirs = await studio.shot(shotId);
    if (!theirs) throw new StudioError('refused', 'This shot is not at the studio any more.');
    // Where it is not known what both came from (a sample, a pack), what lies here stays as it is.
    const base = (await lookUp(shotId))?.shot ?? theirs.shot;
    await fetchShot(needs, theirs.shot, base, wanted);
    await follow({ version: theirs.version ?? '', shot: theirs.shot });
  };

  return {
    offered,
    shelve(shots) {
      const here = new Map(shots.map((shot) => [shot.id, shot]));
      for (const id of shelved.peek().keys())
        if (!here.has(id)) void shelf.dropValue(keyOf(id)).catch(() => undefined);
      shelved.value = here;
    },
    onShelf: (shotId) => shelved.peek().has(shotId),
    async list() {
      const shots = await studio.shots();
      for (const { id } of shots) if (shelved.peek().has(id) && !followed.peek().has(id)) await lookUp(id);
      listed.value = shots;
      return new Map(shots.map(({ id, last }) => [id, last]));
    },
    async freshen() {
      const failed: unknown[] = [];
      for (const { id, version } of listed.value) {
        if (!shelved.peek().has(id) || followed.peek().get(id)?.version === version) continue;
        try {
          // Another tab may have been faster.
          if ((await lookUp(id))?.version !== version) await fetchAndFollow(id);
        } catch (error) {
          if (error instanceof StudioError && error.code !== 'refused') throw error;
          // What is wrong with one shot keeps no other waiting.
          failed.push(error);
        }
      }
      if (failed.length > 0) throw failed[0];
    },
    keep: fetchAndFollow,
    async putUp(shotId, wanted) {
      for (let attempt = 1; ; attempt++) {
        const shot = await shelf.shot(shotId);
        if (!shot) throw new StudioError('refused', 'This shot is not on this tablet any more.');
        // What others put up meanwhile stays there.
        const theirs = await studio.shot(shotId);
        const base = (await lookUp(shotId))?.shot;
        const whole = withOwn(shot, theirs?.shot, base);
        const over = theirs ? (theirs.version ? { version: theirs.version } : 'anything') : 'nothing';
        try {
          await putUpShot(needs, whole, over, wanted);
        } catch (error) {
          if (error instanceof OtherVersion && attempt < tries) continue;
          throw error;
        }
        // Followed from now on. The next look brings here what was theirs; until then nothing here came from it.
        return follow({ version: '', shot: base ?? whole });
      }
    },
  };
}
