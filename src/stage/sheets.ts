/** The decoded pictures at hand, within a budget. What is least likely next goes first. */
import type { Picture } from '../line/picture.ts';
import type { ImageRef } from '../shot/model.ts';
import type { CutPlan } from './cuttings.ts';
import type { Painter, Sheet } from './painter.ts';
import type { Quality } from './types.ts';

export type SheetKey = `${Quality} ${string}`;
export const sheetKey = (image: ImageRef, quality: Quality): SheetKey => `${quality} ${image.sha256}`;

export interface Held {
  readonly sheet: Sheet;
  /** Px across the whole image at this size. */
  readonly widthPx: number;
  readonly channels: 1 | 4;
  /** Only for `full`: what part is kept. */
  readonly plan?: CutPlan;
}

/** Lower is dearer. Not listed: `Infinity`, and then the longest unused goes first. */
export type Rank = (key: SheetKey) => number;

/** Room set aside for one decode, with a sheet whose memory it will take over. Each decode has its own. */
export interface Room {
  readonly bytes: number;
  readonly spare: Sheet | undefined;
}

export interface Sheets {
  /** Marks it as used. */
  readonly get: (key: SheetKey) => Held | undefined;
  readonly peek: (key: SheetKey) => Held | undefined;
  /** Sets bytes aside for a decode of this rank. Undefined when dearer pictures fill the budget. */
  readonly reserve: (key: SheetKey, bytes: number) => Room | undefined;
  /** Gives back room that no picture took. */
  readonly release: (room: Room) => void;
  /** Keeps what was decoded; `room` was set aside for it. */
  readonly addPicture: (key: SheetKey, picture: Picture, room?: Room) => void;
  readonly addFull: (key: SheetKey, sheet: Sheet, widthPx: number, plan: CutPlan, room?: Room) => void;
  readonly stats: () => { decodedBytes: number; peakDecodedBytes: number };
  /** Forgets everything without freeing: the context that held it is gone. */
  readonly forget: () => void;
}

export function createSheets(painter: () => Painter, budgetBytes: number, rank: Rank): Sheets {
  // Insertion order is order of use: `get` moves to the end.
  const held = new Map<SheetKey, Held>();
  /** Of decodes under way. By decode, not by picture: one that was given up may end after the next began. */
  const reserved = new Set<Room>();
  let bytes = 0;
  let peak = 0;

  const total = () => bytes + [...reserved].reduce((sum, each) => sum + each.bytes, 0);
  const notePeak = () => {
    peak = Math.max(peak, total());
  };

  function worstBut(limit: number): SheetKey | undefined {
    let worst: SheetKey | undefined;
    let worstRank = limit;
    for (const key of held.keys()) {
      const each = rank(key);
      if (each > worstRank) {
        worst = key;
        worstRank = each;
      }
    }
    return worst;
  }

  function drop(key: SheetKey): Sheet | undefined {
    const old = held.get(key);
    held.delete(key);
    bytes -= old?.sheet.bytes ?? 0;
    return old?.sheet;
  }

  /**
   * Drops sheets until `needed` more bytes fit. The first of them is handed back for reuse. It is counted while it
   * waits for a decode (`later`), and given up when its memory is needed too.
   */
  function makeRoom(
    needed: number,
    limit: number,
    later: boolean,
  ): { fits: boolean; spare: Sheet | undefined } {
    let spare: Sheet | undefined;
    while (total() + needed + (later ? (spare?.bytes ?? 0) : 0) > budgetBytes) {
      const worst = worstBut(limit);
      const dropped = worst && drop(worst);
      if (dropped && !spare) spare = dropped;
      else if (dropped) painter().free(dropped);
      else if (spare) {
        painter().free(spare);
        return { fits: total() + needed <= budgetBytes, spare: undefined };
      } else return { fits: false, spare: undefined };
    }
    return { fits: true, spare };
  }

  /** The sheet to be written over, given once. */
  function unreserve(room: Room | undefined): Sheet | undefined {
    return room && reserved.delete(room) ? room.spare : undefined;
  }

  function keep(key: SheetKey, entry: Held): void {
    held.set(key, entry);
    bytes += entry.sheet.bytes;
    notePeak();
  }

  return {
    get(key) {
      const found = held.get(key);
      if (found) {
        held.delete(key);
        held.set(key, found);
      }
      return found;
    },
    peek: (key) => held.get(key),
    reserve(key, needed) {
      const limit = rank(key);
      let free = budgetBytes - total();
      // First see whether it can fit at all: nothing is thrown away for a decode that will not be.
      for (const [other, { sheet }] of held) if (rank(other) > limit) free += sheet.bytes;
      if (free < needed) return undefined;
      const { spare } = makeRoom(needed, limit, true);
      const room: Room = { bytes: needed + (spare?.bytes ?? 0), spare };
      reserved.add(room);
      notePeak();
      return room;
    },
    release(room) {
      const spare = unreserve(room);
      if (spare) painter().free(spare);
    },
    addPicture(key, picture, room) {
      const mine = unreserve(room);
      const needed = painter().bytesOf(picture.width * picture.height, picture.channels);
      // Room was set aside for a guess; a coloured picture takes four times as much.
      const { fits, spare } = makeRoom(needed, rank(key), false);
      const [first, ...others] = [mine, spare, drop(key)].filter((sheet) => sheet !== undefined);
      for (const sheet of others) painter().free(sheet);
      if (!fits) {
        if (first) painter().free(first);
        return;
      }
      const sheet = painter().upload(picture, first);
      keep(key, { sheet, widthPx: picture.width, channels: picture.channels });
    },
    addFull(key, sheet, widthPx, plan, room) {
      const mine = unreserve(room);
      const { fits, spare } = makeRoom(sheet.bytes, rank(key), false);
      for (const other of [mine, spare, drop(key), fits ? undefined : sheet])
        if (other) painter().free(other);
      if (fits) keep(key, { sheet, widthPx, channels: 4, plan });
    },
    stats: () => ({ decodedBytes: total(), peakDecodedBytes: peak }),
    forget() {
      held.clear();
      reserved.clear();
      bytes = 0;
    },
  };
}
