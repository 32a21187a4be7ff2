/** What this tablet keeps. One interface; `idb-shelf.ts` is the tablet's, `memory-shelf.ts` the tests'. */

import { SentenceError } from '../error/sentence.ts';
import type { Picture } from '../line/picture.ts';
import type { Entry } from '../note/entry.ts';
import type { Author } from '../note/written.ts';
import type { ImageRef, Shot } from '../shot/model.ts';

/** Sizes made at intake: thumb (long edge ≤ 320 px) and flip (long edge ≤ 2048 px), on white paper. */
export type PictureSize = 'thumb' | 'flip';

/** Everything intake makes of one file. */
export interface NewImage {
  readonly ref: ImageRef;
  readonly file: ArrayBuffer;
  readonly thumb: Picture;
  readonly flip: Picture;
}

/** Kept per shot so that a reload comes back to the same place. Opaque to the shelf. */
export type DeskState = Readonly<Record<string, unknown>>;

export interface Usage {
  readonly usedBytes: number;
  readonly quotaBytes: number | undefined;
  readonly persistent: boolean | undefined;
  readonly perShot: ReadonlyMap<string, number>;
}

/** A page of a shot's entries as a server hands them out: after its place `from`, up to `to`. */
export interface Fetched {
  readonly shotId: string;
  readonly server: string;
  readonly from: number;
  readonly to: number;
  /** The id of the entry at `to`; a server that has another one there was restored. */
  readonly lastId?: string;
  /** The server's seals over them, by id. */
  readonly seals?: ReadonlyMap<string, string>;
  /** What came with them and this version cannot read. */
  readonly unread?: readonly Unread[];
}

/** What a server holds and this version cannot read: kept as it came, for a later version. */
export interface Unread {
  readonly id: string;
  readonly value: unknown;
  readonly seal?: string | undefined;
}

export interface MarkedUnread extends Unread {
  readonly shot: string;
}

/**
 * How far an entry is on its way: `unsent` no server has it; `held` nor that, and it goes with its shot only; `sent` a
 * server acknowledged it, and it was not seen there since; `brought` came out of a file, and is nobody's here.
 */
export type Mark = 'unsent' | 'held' | 'sent' | 'brought';

/**
 * Every write resolves when the data is committed, and rejects with a `ShelfError`. A failed write leaves
 * what was there before.
 */
export interface Shelf {
  /** What their entries make of them, without pictures that are not here yet. */
  shots(): Promise<Shot[]>;
  shot(id: string): Promise<Shot | undefined>;
  /** Its pictures that are not here, also of a shot whose entries alone are here. */
  lacking(id: string): Promise<ImageRef[]>;
  /** Puts a shot on the shelf whose entries are here. Rejects with `missing` when they make none. */
  keepShot(id: string): Promise<void>;
  /**
   * Puts on the shelf what `change` makes of the shot as its entries here make it, in one write: what another tab or
   * the studio brought since it was read stays. The difference is said in entries, by `author`, or by nobody for what
   * a new shot brings; they wait until the shot is put up. `change` may be called again. Resolves to what lies here
   * then. Rejects with `missing` when one of the pictures it adds was not kept before.
   */
  changeShot(id: string, change: (now: Shot | undefined) => Shot, author: Author): Promise<Shot>;
  /**
   * Takes a shot off the shelf; images that no other shot uses go with it, and what was held to be put up with it. Of
   * other entries only those that the studio was seen to have.
   */
  dropShot(id: string): Promise<void>;

  /** Rejects with `full` while there is still room for notes: drawings may never take that. */
  keepImage(image: NewImage): Promise<void>;
  /** True also keeps it from being swept out while this tab is open. */
  hasImage(sha256: string): Promise<boolean>;
  /**
   * The flip size can be missing although the image is kept (it was let go to make room for notes): make it
   * again from `file` and keep the image again. `spare` may give memory of the asked byte length, to be
   * written over.
   */
  picture(
    sha256: string,
    size: PictureSize,
    spare?: (byteLength: number) => Uint8Array | undefined,
  ): Promise<Picture | undefined>;
  /** The original file's bytes. */
  file(sha256: string): Promise<ArrayBuffer | undefined>;

  entries(shotId: string): Promise<Entry[]>;
  /**
   * Adds to the set; an id already there is left as it is. `from`: made `here`, so to be sent; seen at the `studio`,
   * whose word on the writer holds, and whose whole copy where ours came out of a file; out of a `file`, where what a
   * shot brought with it is to be sent and the rest is marked as brought. `fetched` moves the place at that server in
   * the same write, unless another tab moved it or the shot was dropped meanwhile.
   */
  addEntries(entries: readonly Entry[], from: 'here' | 'studio' | 'file', fetched?: Fetched): Promise<void>;
  /** How far a shot's entries were fetched from a server, and the entry there; 0 when none were, or it was dropped since. */
  fetchedTo(shotId: string, server: string): Promise<{ readonly at: number; readonly id?: string }>;
  /** Has them fetched from the start once more; until they are seen there again, all of them are only `sent`. */
  fetchAgain(shotId: string, server: string): Promise<void>;
  /** Reads once more what an earlier version could not read. */
  readUnread(): Promise<void>;
  /** Entries so marked, of one shot or of all. */
  marked(mark: Mark, shotId?: string): Promise<Entry[]>;
  /** The same of what this version cannot read. */
  markedUnread(mark: Mark, shotId?: string): Promise<MarkedUnread[]>;
  /** Shots of which something is `held`. */
  heldShots(): Promise<ReadonlySet<string>>;
  /** Marks them anew; one that lost its mark meanwhile, as it was seen at the studio, stays without. */
  mark(entries: readonly Pick<Entry, 'shot' | 'id'>[], as: Mark): Promise<void>;
  /** The server's seals over these entries, by id, where there are any. */
  seals(entries: readonly Pick<Entry, 'shot' | 'id'>[]): Promise<ReadonlyMap<string, string>>;

  deskState(shotId: string): Promise<DeskState | undefined>;
  keepDeskState(shotId: string, state: DeskState): Promise<void>;
  /** Small named values: who is using this tablet, the hand, drafts, check results by key. */
  value<T>(key: string): Promise<T | undefined>;
  keepValue(key: string, value: unknown): Promise<void>;
  dropValue(key: string): Promise<void>;

  usage(): Promise<Usage>;
  /** Takes out images that no shot uses and no open tab is taking in; resolves to how many. */
  sweep(): Promise<number>;
  /** Asks the browser to keep this storage; resolves to its answer. */
  persist(): Promise<boolean>;
  /** Told of every change, also those made in another tab. Returns the function that stops it. */
  onChange(listener: (change: Change) => void): () => void;
  /** Told when flip pictures were let go to make room for notes; nothing that cannot be made again. */
  onLetGo(listener: (letGo: { readonly pictures: number; readonly bytes: number }) => void): () => void;
  /** Told the present state at once, then when writing starts to fail and when it works again. */
  onHealth(listener: (health: Health) => void): () => void;
}

/** `shotId` is absent for values and when several shots changed. */
export interface Change {
  readonly kind: 'shots' | 'entries' | 'values';
  readonly shotId?: string;
}

export type Health = 'saved' | 'pending' | 'not saved';

export type ShelfErrorCode = 'full' | 'lost' | 'blocked' | 'newer' | 'missing';

/** `message` is one plain sentence for the artist: what happened, what is safe, what to do. */
export class ShelfError extends SentenceError {
  declare readonly code: ShelfErrorCode;
  constructor(code: ShelfErrorCode, message: string, options?: ErrorOptions) {
    super(code, message, options);
    this.name = 'ShelfError';
  }
}
