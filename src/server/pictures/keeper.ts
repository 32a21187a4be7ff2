/**
 * Where pictures lie, by the SHA-256 of their bytes: the server's own folder, a folder that several servers share, or an
 * object store that speaks S3. Every keeper passes `tests/unit/server/keeper-contract.ts`.
 */
import type { Readable } from 'node:stream';
import { Refusal } from '../refusal.ts';

export interface Kept {
  readonly sha256: string;
  readonly byteLength: number;
}

/** Small texts that lie beside the pictures: whose they are, and where they went. */
export type KeeperNote = 'mark' | 'moved';

/** A picture never changes under its name, so nothing here is ever out of date but by what was lost. */
export interface Keeper {
  /** For people: `the folder /srv/pictures`. */
  readonly place: string;
  /** A folder of this machine for files that are to be put: uploads gather there. */
  readonly partsFolder: string;
  /** Whether other processes write there, too. */
  readonly isShared: boolean;
  /** Undefined when it is not here. Rejects with a `Refusal` (503) while that cannot be said. */
  size(sha256: string): Promise<number | undefined>;
  /** One of `mediaTypes`, else `application/octet-stream`. */
  mediaType(sha256: string): Promise<string>;
  /** Bytes from `start` to before `end`. Rejects with a `Refusal` when it has gone (404) or is out of reach (503). */
  read(sha256: string, start: number, end: number): Promise<Readable>;
  /**
   * Takes over a file in `partsFolder` whose bytes were hashed. Resolves once they are safe under their name; the file is
   * gone then. Where it rejects, the file is still there. Several processes may put the same at one time.
   */
  put(sha256: string, file: string): Promise<void>;
  /** Takes it away from under its name, and keeps its bytes. Resolves to where they are now, for people. */
  setAside(sha256: string): Promise<string>;
  /** All that are here, in no order. */
  names(): AsyncIterable<Kept>;
  /** Bytes of all that lies there, what was set aside and what is unfinished too. */
  usedBytes(): Promise<number>;
  note(name: KeeperNote): Promise<string | undefined>;
  setNote(name: KeeperNote, text: string | undefined): Promise<void>;
  close(): Promise<void>;
}

/** Beside the pictures in every keeper. */
export const asideName = 'not-as-named';

/** Where a picture lies within its keeper: the same in all, so that a plain copy of one is another. */
export const pathOf = (sha256: string): string => `${sha256.slice(0, 2)}/${sha256}`;

/** The name at the end of such a path; undefined for anything else. */
export const nameIn = (path: string): string | undefined => {
  const [, start, sha256] = /(?:^|\/)([0-9a-f]{2})\/([0-9a-f]{64})$/.exec(path) ?? [];
  return sha256 !== undefined && start === sha256.slice(0, 2) ? sha256 : undefined;
};

const signatures: readonly (readonly [type: string, hex: string])[] = [
  ['image/png', '89504e47'],
  ['image/jpeg', 'ffd8ff'],
  ['image/webp', '52494646'],
  ['image/tiff', '49492a00'],
  ['image/tiff', '4d4d002a'],
];
const unknownType = 'application/octet-stream';

/** By the first four bytes of a file. */
export function mediaTypeOf(head: Uint8Array): string {
  const hex = Buffer.from(head).toString('hex');
  return signatures.find(([, start]) => hex.startsWith(start))?.[0] ?? unknownType;
}

/** What somebody else wrote beside a picture is believed only where it is a picture's type. */
export const knownMediaType = (said: string | undefined): string =>
  signatures.find(([type]) => type === said)?.[0] ?? unknownType;

export const notHere = (): Refusal =>
  new Refusal(404, 'missing', 'This picture is not on the studio server.');

/** `why` is for the log: tablets are told the same whatever it is. */
export class KeeperAway extends Refusal {
  readonly why: string;
  constructor(why: string) {
    super(
      503,
      'pictures',
      'The studio server cannot reach its pictures now; what is on your tablet is safe, and is sent once they are back.',
      { 'retry-after': '10' },
    );
    this.why = why;
  }
}
