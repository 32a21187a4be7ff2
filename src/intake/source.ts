/** What intake reads: files of a folder, a picker, a drop, a disk; entries of a zip. No platform here. */
import { SentenceError } from '../error/sentence.ts';

/** Bytes that lie somewhere (a File, a file on disk) and are read in pieces. */
export interface ByteSource {
  readonly byteLength: number;
  /** Bytes from `start` up to `end` (≤ byteLength). Rejects when the file has gone or cannot be read. */
  read(start: number, end: number): Promise<Uint8Array<ArrayBuffer>>;
}

/** One file as it is offered. */
export interface InputFile {
  /** Folders and name, `/` between them, e.g. `sc04/rough/0012.png`. */
  readonly path: string;
  readonly source: ByteSource;
}

/** One file that intake may take: from the input itself, or out of a zip. */
export interface IntakeFile {
  /** Unique among the files of one intake. NFC, `/` between folders; a zip's entries start with its name. */
  readonly path: string;
  /** Size when unpacked. */
  readonly byteLength: number;
  /** The whole file, unpacked. Rejects with an `OddFileError`. */
  bytes(signal?: AbortSignal): Promise<Uint8Array<ArrayBuffer>>;
  /** About the first `count` bytes, for telling what it is. Rejects with an `OddFileError`. */
  head(count: number, signal?: AbortSignal): Promise<Uint8Array<ArrayBuffer>>;
}

/** Why a file was not taken, or what is odd about one that was. */
export interface OddFile {
  /** The file's path; the shot's title for what concerns no single file. */
  readonly name: string;
  /** A part of a sentence: `the file ends in the middle of the picture`. */
  readonly why: string;
  /** What to do, a sentence; empty when nothing need be done. */
  readonly todo: string;
  /** False: left out. True: taken all the same, and told. */
  readonly taken: boolean;
  /** All files it is said of, where one line stands for many. */
  readonly names?: readonly string[];
}

/** A single file cannot be read. The rest goes on. */
export class OddFileError extends SentenceError {
  readonly todo: string;
  constructor(why: string, todo: string, options?: ErrorOptions) {
    super('odd file', why, options);
    this.name = 'OddFileError';
    this.todo = todo;
  }

  override get sentence(): string {
    const why = this.message.charAt(0).toUpperCase() + this.message.slice(1);
    return `${why}.${this.todo && ` ${this.todo}`}`;
  }
}

/** One line for a person: `12.png: it is empty (0 bytes). Export it again.` */
export function sayOdd({ name, why, todo }: OddFile): string {
  return `${name}: ${why}.${todo && ` ${todo}`}`;
}
