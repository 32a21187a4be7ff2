/**
 * The shelf over any store. Records:
 *
 * `shot/ID` the base shot; `image/SHA` what is known of an image; `file/SHA`, `thumb/SHA`, `flip/SHA` its bytes;
 * `entry/SHOT/ID` an entry; `unsent/ID` the shot of an entry no server acknowledged; `fetched/SHOT/SERVER` how far its
 * entries were fetched; `desk/SHOT` the place;
 * `value/KEY` a small named value; `measure/KEY` what was measured of images (`kept-measures.ts`).
 */
import type { Entry } from '../note/entry.ts';
import type { Shot } from '../shot/model.ts';
import {
  dropImage,
  hashesOf,
  type KeptDesk,
  type KeptImage,
  lastOf,
  letMeasuresGo,
  letOldestFlipsGo,
  sweepImages,
  usageOf,
} from './kept-images.ts';
import type { Key, Room, Store, Tabs } from './store.ts';
import { readPicture, type StoredPicture, storePicture } from './stored-picture.ts';
import { type Change, type Health, type NewImage, type Shelf, ShelfError } from './types.ts';

/**
 * Room that drawings leave to notes. A note with strokes is some 10 kB, so this is thousands of them. Higher
 * refuses intakes that would fit.
 */
const NOTES_RESERVE_BYTES = 20_000_000;

export function keptShelf(store: Store, tabs: Tabs, room: Room): Shelf {
  const changeListeners = new Set<(change: Change) => void>();
  const healthListeners = new Set<(health: Health) => void>();
  const letGoListeners = new Set<(letGo: { pictures: number; bytes: number }) => void>();
  let pending = 0;
  let failing = false;
  let lastHealth: Health = 'saved';
  let freeBytes: number | undefined;

  const health = (): Health => (failing ? 'not saved' : pending > 0 ? 'pending' : 'saved');
  const tellHealth = (): void => {
    if (health() === lastHealth) return;
    lastHealth = health();
    for (const listener of healthListeners) listener(lastHealth);
  };
  const hear = (change: Change): void => {
    for (const listener of changeListeners) listener(change);
  };
  const changed = (change: Change): void => {
    hear(change);
    tabs.tell(change);
  };
  tabs.listen((message) => hear(message as Change));

  const write: Store['write'] = async (durability, work) => {
    pending++;
    tellHealth();
    try {
      const result = await store.write(durability, work);
      failing = false;
      return result;
    } catch (error) {
      // These say no to the caller, not that the tablet cannot write.
      failing ||= error instanceof ShelfError && error.code !== 'missing' && error.code !== 'newer';
      throw error;
    } finally {
      pending--;
      tellHealth();
    }
  };

  async function changeShot(id: string, change: (now: Shot | undefined) => Shot): Promise<Shot> {
    const { shot, isNew } = await write('strict', async (records) => {
      const now = await records.get<Shot>(['shot', id]);
      const shot = change(now);
      if (shot === now) return { shot, isNew: false };
      const kept = new Set((await records.keys(['image'])).map(lastOf));
      const missing = [...hashesOf(shot)].filter((sha) => !kept.has(sha)).length;
      if (missing > 0) {
        throw new ShelfError(
          'missing',
          `${missing} of the drawings of “${shot.title}” are not kept on this tablet; nothing was changed: take the shot in again.`,
        );
      }
      records.put(['shot', id], shot);
      return { shot, isNew: true };
    });
    if (isNew) changed({ kind: 'shots', shotId: id });
    return shot;
  }

  /** Lets flip pictures go to make room for what people made, and tells the listeners of `onLetGo`. False when there are none left. */
  async function letGo(): Promise<boolean> {
    const gone = await store.write('relaxed', letOldestFlipsGo);
    if (gone.pictures > 0) for (const listener of letGoListeners) listener(gone);
    return gone.pictures > 0;
  }

  /** For what people made: when the disk is full, drawings that can be made again go first. */
  const writePrecious: Store['write'] = async (durability, work) => {
    for (;;) {
      try {
        return await write(durability, work);
      } catch (error) {
        if (!(error instanceof ShelfError && error.code === 'full')) throw error;
        const gone =
          (await store.write('relaxed', letMeasuresGo).catch(() => false)) ||
          (await letGo().catch(() => false));
        if (!gone) throw error;
      }
    }
  };

  /** Asks the browser only when what it said last is used up: the question is slow. */
  async function leaveRoom(bytes: number): Promise<void> {
    if (freeBytes === undefined || freeBytes - bytes < NOTES_RESERVE_BYTES) {
      const { usedBytes, quotaBytes } = await room.estimate();
      freeBytes =
        usedBytes === undefined || quotaBytes === undefined
          ? Number.POSITIVE_INFINITY
          : quotaBytes - usedBytes;
    }
    if (freeBytes - bytes < NOTES_RESERVE_BYTES) {
      freeBytes = undefined;
      throw new ShelfError(
        'full',
        'There is no room for more drawings on this tablet; what is on the shelf is safe: take a shot off it or free storage, then take in again.',
      );
    }
    freeBytes -= bytes;
  }

  return {
    shots: () => store.read((records) => records.all<Shot>(['shot'])),
    shot: (id) => store.read((records) => records.get<Shot>(['shot', id])),

    keepShot: async (shot) => void (await changeShot(shot.id, () => shot)),
    changeShot,

    async dropShot(id) {
      await write('strict', async (records) => {
        const shots = await records.all<Shot>(['shot']);
        const others = new Set(shots.filter((shot) => shot.id !== id).flatMap((shot) => [...hashesOf(shot)]));
        for (const shot of shots.filter((shot) => shot.id === id)) {
          for (const sha of hashesOf(shot)) if (!others.has(sha)) dropImage(records, sha);
        }
        const unsent = new Set((await records.keys(['unsent'])).map(lastOf));
        for (const key of await records.keys(['entry', id])) if (!unsent.has(lastOf(key))) records.drop(key);
        // What goes with them is fetched again when the shot comes back.
        for (const key of await records.keys(['fetched', id])) records.drop(key);
        records.drop(['shot', id]);
        records.drop(['desk', id]);
      });
      freeBytes = undefined;
      changed({ kind: 'shots', shotId: id });
    },

    async keepImage({ ref, file, thumb, flip }: NewImage) {
      const [small, large] = await Promise.all([storePicture(thumb), storePicture(flip)]);
      const bytes = file.byteLength + small.bytes.byteLength + large.bytes.byteLength;
      await leaveRoom(bytes);
      await write('relaxed', async (records) => {
        records.put(['image', ref.sha256], { ref, session: tabs.session, bytes } satisfies KeptImage);
        records.put(['file', ref.sha256], file);
        records.put(['thumb', ref.sha256], small);
        records.put(['flip', ref.sha256], large);
      });
    },

    async hasImage(sha256) {
      const kept = await store.read((records) => records.get<KeptImage>(['image', sha256]));
      if (kept === undefined || kept.session === tabs.session) return kept !== undefined;
      return write('relaxed', async (records) => {
        const still = await records.get<KeptImage>(['image', sha256]);
        if (still !== undefined) records.put(['image', sha256], { ...still, session: tabs.session });
        return still !== undefined;
      });
    },

    async picture(sha256, size, spare) {
      const stored = await store.read((records) => records.get<StoredPicture>([size, sha256]));
      return stored && readPicture(stored, spare);
    },
    file: (sha256) => store.read((records) => records.get<ArrayBuffer>(['file', sha256])),

    entries: (shotId) => store.read((records) => records.all<Entry>(['entry', shotId])),

    async addEntries(entries, sent, fetched) {
      if (entries.length === 0 && !fetched) return;
      await writePrecious('strict', async (records) => {
        const unsent = new Set((await records.keys(['unsent'])).map(lastOf));
        // Nothing is asked of what is there, or a first sync would cost more with every page.
        const add = async (entry: Entry): Promise<void> => {
          const isNew = await records.putNew(['entry', entry.shot, entry.id], entry);
          if (!sent && isNew) records.put(['unsent', entry.id], entry.shot);
          if (sent && unsent.has(entry.id)) records.drop(['unsent', entry.id]);
        };
        await Promise.all(entries.map(add));
        if (!fetched) return;
        const place: Key = ['fetched', fetched.shotId, fetched.server];
        if (((await records.get<number>(place)) ?? 0) === fetched.from) records.put(place, fetched.to);
      });
      for (const shotId of new Set(entries.map((entry) => entry.shot))) changed({ kind: 'entries', shotId });
    },

    fetchedTo: async (shotId, server) =>
      (await store.read((records) => records.get<number>(['fetched', shotId, server]))) ?? 0,

    unsent: () =>
      store.read(async (records) => {
        const [keys, shots] = await Promise.all([records.keys(['unsent']), records.all<string>(['unsent'])]);
        const found = await Promise.all(
          keys.map((key, i) => records.get<Entry>(['entry', shots[i] ?? '', lastOf(key)])),
        );
        return found.filter((entry) => entry !== undefined);
      }),

    async markSent(ids) {
      if (ids.length === 0) return;
      await write('relaxed', async (records) => {
        for (const id of ids) records.drop(['unsent', id]);
      });
      changed({ kind: 'entries' });
    },

    deskState: async (shotId) =>
      (await store.read((records) => records.get<KeptDesk>(['desk', shotId])))?.state,
    keepDeskState: (shotId, state) =>
      writePrecious('relaxed', async (records) => {
        records.put(['desk', shotId], { state, keptMs: Date.now() } satisfies KeptDesk);
      }),

    value: <T>(key: string) => store.read((records) => records.get<T>(['value', key])),
    async keepValue(key, value) {
      await writePrecious('relaxed', async (records) => records.put(['value', key], value));
      changed({ kind: 'values' });
    },
    async dropValue(key) {
      await write('relaxed', async (records) => records.drop(['value', key]));
      changed({ kind: 'values' });
    },

    usage: () => usageOf(store, room),
    sweep: () => sweepImages(store, tabs),
    persist: () => room.persist(),
    onChange(listener) {
      changeListeners.add(listener);
      return () => changeListeners.delete(listener);
    },
    onLetGo(listener) {
      letGoListeners.add(listener);
      return () => letGoListeners.delete(listener);
    },
    onHealth(listener) {
      healthListeners.add(listener);
      listener(health());
      return () => healthListeners.delete(listener);
    },
  };
}
