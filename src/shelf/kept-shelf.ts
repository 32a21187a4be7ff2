/**
 * The shelf over any store. Records:
 *
 * `shot/ID` a shot that lies here, as its entries make it; `paper/SHOT/ID` the entries that make it, once more;
 * `clock/SHOT` the latest stamp of its entries; `image/SHA` what is known of an image; `file/SHA`, `thumb/SHA`,
 * `flip/SHA` its bytes; `entry/SHOT/ID` an entry; `desk/SHOT` the place; `value/KEY` a small named value; `measure/KEY`
 * what was measured of images (`kept-measures.ts`).
 *
 * Of entries: `unsent/SHOT/ID` no server acknowledged it; `held/SHOT/ID` nor that, and it goes with its shot only;
 * `sent/SHOT/ID` one did, and it was not seen there since; `brought/SHOT/ID` it came out of a file;
 * `seal/SHOT/ID` the server's seal over it; `fetched/SHOT/SERVER` how far they were fetched; `unread/SHOT/ID` what this
 * version cannot read of them.
 *
 * Longer than most files: which marks an entry may carry is one rule, and every function here keeps it.
 */
import type { Entry } from '../note/entry.ts';
import { isOrigin } from '../note/origin.ts';
import { parseEntry } from '../note/parse.ts';
import { shotOf } from '../note/shot-of.ts';
import type { Author } from '../note/written.ts';
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
import { lackingOf, markUnsent, putEntries, sayChange, shotHere, shotsHere } from './kept-shots.ts';
import type { Key, Records, Room, Store, Tabs } from './store.ts';
import { readPicture, type StoredPicture, storePicture } from './stored-picture.ts';
import {
  type Change,
  type Health,
  type Mark,
  type MarkedUnread,
  type NewImage,
  type Shelf,
  ShelfError,
  type Unread,
} from './types.ts';

/**
 * Room that drawings leave to notes. A note with strokes is some 10 kB, so this is thousands of them. Higher
 * refuses intakes that would fit.
 */
const NOTES_RESERVE_BYTES = 20_000_000;

const marks: readonly Mark[] = ['unsent', 'held', 'sent', 'brought'];

const unmark = (records: Records, shotId: string, id: string): void => {
  for (const mark of marks) records.drop([mark, shotId, id]);
};

const markedIds = async (records: Records, shotId: string, but?: Mark): Promise<Set<string>> => {
  const keys = marks.filter((mark) => mark !== but).map((mark) => records.keys([mark, shotId]));
  return new Set((await Promise.all(keys)).flat().map(lastOf));
};

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

  async function changeShot(
    id: string,
    change: (now: Shot | undefined) => Shot,
    author: Author,
  ): Promise<Shot> {
    const { shot, isNew } = await write('strict', (records) => sayChange(records, id, change, author));
    if (isNew) {
      changed({ kind: 'shots', shotId: id });
      changed({ kind: 'entries', shotId: id });
    }
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
    shots: () => store.read(shotsHere),
    shot: (id) => store.read((records) => shotHere(records, id)),
    lacking: (id) => store.read((records) => lackingOf(records, id)),
    changeShot,

    async keepShot(id) {
      await write('strict', async (records) => {
        const shot = shotOf(id, await records.all<Entry>(['paper', id]));
        if (!shot) {
          throw new ShelfError(
            'missing',
            'Nothing of this shot is on this tablet yet; nothing was changed: try again.',
          );
        }
        records.put(['shot', id], shot);
      });
      changed({ kind: 'shots', shotId: id });
    },

    async dropShot(id) {
      await write('strict', async (records) => {
        const shots = await records.all<Shot>(['shot']);
        const others = new Set(shots.filter((shot) => shot.id !== id).flatMap((shot) => [...hashesOf(shot)]));
        for (const shot of shots.filter((shot) => shot.id === id)) {
          for (const sha of hashesOf(shot)) if (!others.has(sha)) dropImage(records, sha);
        }
        // What goes with its shot only goes; what else no server was seen to have stays: it may be nowhere else.
        const stay = await markedIds(records, id, 'held');
        for (const key of await records.keys(['held', id])) records.drop(key);
        for (const kind of ['entry', 'paper', 'seal', 'unread'])
          for (const key of await records.keys([kind, id])) if (!stay.has(lastOf(key))) records.drop(key);
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

    async addEntries(entries, from, fetched) {
      if (entries.length === 0 && !fetched) return;
      const seals = fetched?.seals ?? new Map<string, string>();
      const { shots } = await writePrecious('strict', async (records) => {
        const touched = await putEntries(records, entries, from, (entry, stands) => {
          const { shot, id } = entry;
          if (from === 'file' && stands === 'new' && !isOrigin(entry))
            records.put(['brought', shot, id], true);
          else if (from !== 'studio' && stands === 'new') markUnsent(records, entry);
          if (from !== 'studio' || stands === 'other') return;
          unmark(records, shot, id);
          const seal = seals.get(id);
          if (seal !== undefined) records.put(['seal', shot, id], seal);
        });
        if (fetched) {
          for (const one of fetched.unread ?? []) {
            records.put(['unread', fetched.shotId, one.id], one);
            unmark(records, fetched.shotId, one.id);
          }
          const place: Key = ['fetched', fetched.shotId, fetched.server];
          const now = readPlace(await records.get(place));
          if (now.at === fetched.from) records.put(place, { at: fetched.to, id: fetched.lastId });
        }
        return touched;
      });
      for (const shotId of new Set(entries.map((entry) => entry.shot))) changed({ kind: 'entries', shotId });
      for (const shotId of shots) changed({ kind: 'shots', shotId });
    },

    fetchedTo: async (shotId, server) =>
      readPlace(await store.read((records) => records.get(['fetched', shotId, server]))),
    async fetchAgain(shotId, server) {
      const doubted = async (records: Records): Promise<string[]> => {
        const [entries, unread, marked] = await Promise.all([
          records.keys(['entry', shotId]),
          records.keys(['unread', shotId]),
          markedIds(records, shotId),
        ]);
        return [...entries, ...unread].map(lastOf).filter((id) => !marked.has(id));
      };
      const place: Key = ['fetched', shotId, server];
      const isNew = await store.read(
        async (records) => !(await records.get(place)) && (await doubted(records)).length === 0,
      );
      if (isNew) return;
      await write('strict', async (records) => {
        records.drop(place);
        for (const id of await doubted(records)) records.put(['sent', shotId, id], true);
      });
    },
    async readUnread() {
      const kept = await store.read((records) => records.keys(['unread']));
      if (kept.length === 0) return;
      const touched = await write('strict', async (records) => {
        const read: Entry[] = [];
        for (const [, shotId = '', id = ''] of kept) {
          const one = await records.get<Unread>(['unread', shotId, id]);
          const parsed = parseEntry(one?.value);
          if (!parsed.ok) continue;
          read.push(parsed.entry);
          records.drop(['unread', shotId, id]);
          if (one?.seal !== undefined) records.put(['seal', shotId, id], one.seal);
        }
        const { shots } = await putEntries(records, read, 'studio', () => undefined);
        return { shots, read };
      });
      for (const shotId of new Set(touched.read.map(({ shot }) => shot)))
        changed({ kind: 'entries', shotId });
      for (const shotId of touched.shots) changed({ kind: 'shots', shotId });
    },

    marked: (mark, shotId) =>
      store.read(async (records) => {
        const keys = await records.keys(shotId === undefined ? [mark] : [mark, shotId]);
        const found = await Promise.all(keys.map(([, ...key]) => records.get<Entry>(['entry', ...key])));
        return found.filter((entry) => entry !== undefined);
      }),
    markedUnread: (mark, shotId) =>
      store.read(async (records) => {
        const keys = await records.keys(shotId === undefined ? ['unread'] : ['unread', shotId]);
        const read = async ([, shot = '', id = '']: Key): Promise<MarkedUnread[]> => {
          const [one, is] = await Promise.all([
            records.get<Unread>(['unread', shot, id]),
            records.get([mark, shot, id]),
          ]);
          return one && is ? [{ ...one, shot }] : [];
        };
        return (await Promise.all(keys.map(read))).flat();
      }),
    heldShots: () =>
      store.read(async (records) => new Set((await records.keys(['held'])).map(([, id]) => id ?? ''))),
    seals: (entries) =>
      store.read(async (records) => {
        const seals = await Promise.all(
          entries.map(({ shot, id }) => records.get<string>(['seal', shot, id])),
        );
        return new Map(seals.flatMap((seal, n) => (seal ? [[entries[n]?.id ?? '', seal] as const] : [])));
      }),

    async mark(entries, as) {
      if (entries.length === 0) return;
      await write('relaxed', async (records) => {
        const markOne = async ({ shot, id }: (typeof entries)[number]): Promise<void> => {
          const had = await Promise.all(marks.map((mark) => records.get([mark, shot, id])));
          if (!had.some(Boolean)) return;
          unmark(records, shot, id);
          records.put([as, shot, id], true);
        };
        await Promise.all(entries.map(markOne));
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

/** Of format 1 there is the place alone. */
function readPlace(value: unknown): { readonly at: number; readonly id?: string } {
  if (typeof value === 'number') return { at: value };
  return (value as { at: number; id?: string } | undefined) ?? { at: 0 };
}
