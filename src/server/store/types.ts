/**
 * Where the studio keeps what people share. SQLite is the embedded one (`sqlite-store.ts`), PostgreSQL the one for
 * several servers (`postgres/`). Every store passes `tests/unit/server/store-contract.ts`.
 */
import type { Entry, Stamp } from '../../note/entry.ts';

/** An entry and its JSON text as it arrived: the text is what is kept and passed on, word for word. */
export interface Written {
  readonly entry: Entry;
  readonly json: string;
}

/** An entry's text with its place in the order of arrival: strictly growing, never given twice. */
export interface Stored {
  readonly seq: number;
  readonly json: string;
}

export interface Added {
  readonly id: string;
  /** `known`: it was stored before, the same. `clash`: another entry has this id; nothing was stored. */
  readonly result: 'stored' | 'known' | 'clash';
}

export interface EntryStore {
  /**
   * Resolves after the commit of all of them, one answer an entry, in order. Rejects when nothing was
   * committed. Calls at one time may share a commit.
   */
  add(entries: readonly Written[], passId: string | undefined): Promise<Added[]>;
  /** Those known, by id. */
  find(ids: readonly string[]): Promise<ReadonlyMap<string, Entry>>;
  /**
   * A shot's entries that arrived after `seq`, in order of arrival: at most `limit`, and no further one once their
   * texts have `chars` characters together.
   */
  after(shotId: string, seq: number, limit: number, chars?: number): Promise<Stored[]>;
  /** Place of the shot's last arrival; 0 before the first. */
  last(shotId: string): Promise<number>;
  /** The id of the entry of that shot at a place; undefined where there is none. */
  idAt(shotId: string, seq: number): Promise<string | undefined>;
  /** Place of the newest entry of all shots; 0 before the first. */
  newest(): Promise<number>;
  /** The greatest stamp among a shot's entries. */
  latestStamp(shotId: string): Promise<Stamp>;
  /**
   * Calls `tell` after each commit, before its `add` resolves; after one of another process on the same data soon. Several
   * commits may be told as one, and one twice. Rejects when other processes cannot be heard yet.
   */
  onNews(tell: (news: News) => void): Promise<void>;
}

/** What was added to one shot. */
export interface News {
  readonly shot: string;
  /** Place of its last entry. */
  readonly last: number;
  /** Whether there are entries among them that make the shot (`makesShot`). */
  readonly isPaper: boolean;
}

/** Where a shot stands. */
export interface PaperShot {
  /** Place of the last entry that makes it. */
  readonly paper: number;
  /** Place of its last entry, and that one's id. */
  readonly last: number;
  readonly lastId: string;
}

/** Shots are what their entries make. */
export interface ShotStore {
  /** Each shot of which there are entries that make it (`makesShot`). */
  paperShots(): Promise<ReadonlyMap<string, PaperShot>>;
  /** Those entries of one shot, in order of arrival. */
  paper(shotId: string): Promise<Entry[]>;
  /** Names of folders, relative to the shots folder, and the shot that each is. */
  folders(): Promise<ReadonlyMap<string, string>>;
  setFolder(name: string, shotId: string): Promise<void>;
  /** Whether this process is the one that watches the folder: of those on the same data one does, until it ends. */
  watchesFolder(): Promise<boolean>;
}

export interface Pass {
  readonly id: string;
  readonly name: string;
  readonly role: 'artist' | 'director' | 'assistant';
  /** May make, list and revoke passes. */
  readonly owner: boolean;
  /** The person's id in entries: the tablet's own, given when it joins. */
  readonly personId: string | undefined;
  readonly madeMs: number;
  readonly joinedMs: number | undefined;
  readonly revokedMs: number | undefined;
}

/** A one-time code being used. */
export interface Joining {
  readonly codeHash: string;
  readonly tokenHash: string;
  /** The id that the tablet wrote under so far. */
  readonly personId: string;
  /** The person's id where `personId` is someone's already, which would let one write in their name. */
  readonly otherId: string;
  readonly nowMs: number;
  readonly maxAgeMs: number;
  readonly guesses: GuessLimits;
}

/** Wrong codes in ten minutes. */
export interface GuessLimits {
  /** Whoever guesses: an address, or its network. */
  readonly from: string;
  readonly perAddress: number;
  /** From all together; beyond, each address that made none in ten minutes has one. */
  readonly inAll: number;
}

/** Codes and tokens are kept as SHA-256 only. */
export interface PassStore {
  passes(): Promise<Pass[]>;
  makePass(pass: Pass, codeHash: string): Promise<void>;
  /**
   * Uses a code up: gives its pass a token and a person (one made for a person keeps theirs). `wrong`: unknown, used,
   * revoked or too old; it is counted. `too many`: so many were wrong before that this one was not looked at. Guesses take
   * turns, those of all processes on the same data: sent all at once, no more of them are looked at.
   */
  join(joining: Joining): Promise<Pass | 'wrong' | 'too many'>;
  passOfToken(tokenHash: string): Promise<Pass | undefined>;
  /** False when there is none to revoke. */
  revokePass(id: string, nowMs: number): Promise<boolean>;
}

/** What the server processes on the same data tell each other, about once a second. */
export interface Neighbours {
  /** Tells what this process has open (undefined: the same as before); resolves to what each of the others told last. */
  tellOpen(told: string | undefined): Promise<readonly string[]>;
  /**
   * Takes requests, so many of each key, from the token bucket that all share: `burst` at once, `perSecond` refilled.
   * Resolves to what is left of each, below zero where more was used than there was.
   */
  spend(
    spent: ReadonlyMap<string, number>,
    burst: number,
    perSecond: number,
  ): Promise<ReadonlyMap<string, number>>;
}

export interface StudioStore extends EntryStore, ShotStore, PassStore {
  /** Small things kept once: the server's own id. */
  setting(key: string, make: () => string): Promise<string>;
  /** Absent where no other process serves the same data. */
  readonly neighbours?: Neighbours;
  /** Whether this process is the one that prints the owner's code: the first that runs of those on the same data. */
  printsOwnerCode(): Promise<boolean>;
  /** What keeps it from storing, a sentence; undefined when nothing does. */
  fault(): Promise<string | undefined>;
  close(): Promise<void>;
}
