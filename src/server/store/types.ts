/**
 * Where the studio keeps what people share. SQLite is the embedded one (`sqlite-store.ts`); a house that
 * outgrows a machine writes another against `tests/unit/server/store-contract.ts`.
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
  find(ids: readonly string[]): ReadonlyMap<string, Entry>;
  /**
   * A shot's entries that arrived after `seq`, in order of arrival: at most `limit`, and no further one once their
   * texts have `chars` characters together.
   */
  after(shotId: string, seq: number, limit: number, chars?: number): Stored[];
  /** Place of the shot's last arrival; 0 before the first. */
  last(shotId: string): number;
  /** The id of the entry of that shot at a place; undefined where there is none. */
  idAt(shotId: string, seq: number): string | undefined;
  /** The greatest stamp among a shot's entries. */
  latestStamp(shotId: string): Stamp;
}

/** Shots are what their entries make. */
export interface ShotStore {
  /** Each shot of which there are entries that make it (`makesShot`), with the place of the last of them. */
  paperShots(): ReadonlyMap<string, number>;
  /** Those entries of one shot, in order of arrival. */
  paper(shotId: string): Entry[];
  /** Names of folders, relative to the shots folder, and the shot that each is. */
  folders(): ReadonlyMap<string, string>;
  setFolder(name: string, shotId: string): void;
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

/** Codes and tokens are kept as SHA-256 only. */
export interface PassStore {
  passes(): Pass[];
  makePass(pass: Pass, codeHash: string): void;
  /** Uses a code up: gives its pass a token and a person. Undefined for a code unknown, used, revoked or too old. */
  join(
    codeHash: string,
    tokenHash: string,
    personId: string,
    nowMs: number,
    maxAgeMs: number,
  ): Pass | undefined;
  passOfToken(tokenHash: string): Pass | undefined;
  /** False when there is none to revoke. */
  revokePass(id: string, nowMs: number): boolean;
}

export interface StudioStore extends EntryStore, ShotStore, PassStore {
  /** Small things kept once: the server's own id. */
  setting(key: string, make: () => string): string;
  close(): void;
}
