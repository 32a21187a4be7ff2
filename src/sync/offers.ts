/** What the studio offers and what of it lies on this tablet: kept, followed, put up. */
import { computed, type ReadonlySignal, signal } from '@preact/signals';
import type { Entry } from '../note/entry.ts';
import type { OfferedShot } from '../wire/shots.ts';
import {
  type FetchNeeds,
  fetchPictures,
  type ImageProgress,
  type NotHad,
  picturesOf,
  sendPictures,
  type Wanted,
} from './images.ts';
import { StudioError } from './studio-answers.ts';

export interface Offered extends OfferedShot {
  /** On this tablet's shelf. */
  readonly kept: boolean;
  /** This tablet has drawings of it that were not put up. */
  readonly lacksOurs: boolean;
}

export interface Offers {
  /** Empty while the studio was not reached. */
  readonly offered: ReadonlySignal<readonly Offered[]>;
  /** Told what lies on the shelf, and of which shots something is held back, now. */
  readonly shelve: (shots: ReadonlySet<string>, held: ReadonlySet<string>) => void;
  readonly onShelf: (shotId: string) => boolean;
  /** Asks the studio. */
  readonly list: () => Promise<ReadonlyMap<string, OfferedShot>>;
  /** Puts up again what the studio has lost of the pictures that lie here. */
  readonly giveBack: () => Promise<void>;
  /** Fetches the pictures that shots on this shelf lack. Rejects with what could not be had, after all the others. */
  readonly freshen: () => Promise<void>;
  readonly keep: (shotId: string, wanted?: Wanted) => Promise<void>;
  readonly putUp: (shotId: string, wanted?: Wanted) => Promise<void>;
}

/** `pull`: fetches a shot's entries. */
export function createOffers(needs: FetchNeeds, pull: (shotId: string) => Promise<void>): Offers {
  const { shelf, studio } = needs;
  const here = signal<{ readonly shots: ReadonlySet<string>; readonly held: ReadonlySet<string> }>({
    shots: new Set(),
    held: new Set(),
  });
  const listed = signal<readonly OfferedShot[]>([]);
  const offered = computed(() =>
    listed.value.map((shot) => ({
      ...shot,
      kept: here.value.shots.has(shot.id),
      lacksOurs: here.value.held.has(shot.id),
    })),
  );
  /** Somebody has their pictures fetched, or stopped that: no round does it beside them. */
  const byHand = new Set<string>();
  /** Why pictures could not be had. A round asks for none of them again; whoever keeps the shot anew does. */
  const faults = new Map<string, NotHad>();

  /** Ours of what the studio lost, and it would not take: not sent to and fro every minute. */
  const turnedDown = new Set<string>();
  const lostThere = (): Set<string> => new Set(listed.value.flatMap(({ lacking }) => lacking));

  const fetchLacking = async (shotId: string, wanted?: Wanted): Promise<void> => {
    const lacking = await shelf.lacking(shotId);
    const wants = lacking.filter(({ sha256 }) => !faults.has(sha256));
    if (wants.length > 0) {
      // Whoever shows the shot is told of its pictures as they come.
      let shown = 0;
      const onProgress = (progress: ImageProgress): void => {
        wanted?.onProgress?.(progress);
        if (progress.doneImages < shown + 10) return;
        shown = progress.doneImages;
        void shelf.keepShot(shotId).catch(() => undefined);
      };
      const found = await fetchPictures(needs, wants, { ...wanted, onProgress });
      for (const [sha256, fault] of found) faults.set(sha256, fault);
      await shelf.keepShot(shotId);
    }
    const missing = lacking.filter(({ sha256 }) => faults.has(sha256));
    const [first] = missing;
    if (first) throw new StudioError('refused', await faultWords(shotId, first.sha256, missing.length));
  };
  const faultWords = async (shotId: string, sha256: string, count: number): Promise<string> => {
    const entries = await shelf.entries(shotId);
    const named = entries.find((entry) => picturesOf([entry]).some((image) => image.sha256 === sha256));
    const body = named?.body;
    const of = body && 'drawing' in body ? `The picture of drawing ${body.drawing}` : 'A picture';
    const more = count === 1 ? '' : `, and ${count - 1} more`;
    return `${of}${more} could not be fetched; everything else is here: ${faults.get(sha256)?.why}`;
  };

  return {
    offered,
    shelve: (shots, held) => {
      here.value = { shots, held };
    },
    onShelf: (shotId) => here.peek().shots.has(shotId),
    async list() {
      listed.value = await studio.shots();
      // What the studio has again is worth asking for.
      const lost = lostThere();
      for (const [sha256, { isLost }] of faults) if (isLost && !lost.has(sha256)) faults.delete(sha256);
      return new Map(listed.value.map((shot) => [shot.id, shot]));
    },
    async giveBack() {
      const wanted: { sha256: string; byteLength: number }[] = [];
      for (const sha256 of lostThere())
        if (!turnedDown.has(sha256) && (await shelf.hasImage(sha256))) wanted.push({ sha256, byteLength: 0 });
      for (const sha256 of (await sendPictures(needs, wanted)).keys()) turnedDown.add(sha256);
    },
    async freshen() {
      const failed: unknown[] = [];
      for (const { id } of listed.value) {
        if (!here.peek().shots.has(id) || byHand.has(id)) continue;
        try {
          await fetchLacking(id);
        } catch (error) {
          if (!(error instanceof StudioError) || error.code !== 'refused') throw error;
          failed.push(error);
        }
      }
      if (failed.length > 0) throw failed[0];
    },
    async keep(shotId, wanted) {
      byHand.add(shotId);
      try {
        await pull(shotId);
        await shelf.keepShot(shotId);
        for (const { sha256 } of await shelf.lacking(shotId)) faults.delete(sha256);
        await fetchLacking(shotId, wanted);
      } finally {
        // What a person stopped waits until they go on.
        if (!wanted?.signal?.aborted) byHand.delete(shotId);
      }
    },
    async putUp(shotId, wanted) {
      const held = await shelf.marked('held', shotId);
      const missing = await sendPictures(needs, picturesOf(held), wanted);
      wanted?.signal?.throwIfAborted();
      const whyNot = (entry: Entry): string | undefined =>
        picturesOf([entry]).flatMap(({ sha256 }) => missing.get(sha256) ?? [])[0];
      await shelf.mark(
        held.filter((entry) => !whyNot(entry)),
        'unsent',
      );
      const left = held.filter(whyNot);
      const [first] = left;
      if (!first) return;
      const of = 'drawing' in first.body ? `drawing ${first.body.drawing}` : 'one drawing';
      const more = left.length === 1 ? '' : `, and ${left.length - 1} more`;
      throw new StudioError(
        'refused',
        `Everything was put up but the picture of ${of}${more}: ${whyNot(first)}`,
      );
    },
  };
}
