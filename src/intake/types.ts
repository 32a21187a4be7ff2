/** The shapes in which intake talks to the rooms around it. */
import type { Picture } from '../line/picture.ts';
import type { Author } from '../note/written.ts';
import type { ImageRef, Shot } from '../shot/model.ts';
import type { ShotFile } from '../shot/shot-json.ts';
import type { IntakeFile, OddFile } from './source.ts';

/** What lies before the user after files were offered: looked at, nothing decoded yet. */
export interface Opened {
  /** Pictures, by their content. */
  readonly pictures: readonly IntakeFile[];
  /** `shot.json` and `exposure.csv` as found, with the folder they lie in. */
  readonly shotFiles: readonly { readonly folder: string; readonly file: ShotFile }[];
  readonly sheets: readonly { readonly folder: string; readonly text: string }[];
  /** What Fairpeg itself keeps beside a shot, with the folder of the shot. */
  readonly beside: readonly (BesideFile & { readonly folder: string })[];
  readonly odd: readonly OddFile[];
}

/** A text from the folder `fairpeg/` of a pack: carried along, read by others. */
export interface BesideFile {
  readonly name: 'entries.json' | 'findings.json';
  /** As it was offered, for a person. */
  readonly path: string;
  readonly text: string;
}

export interface Question {
  /** Stays the same when planned again with the same files. */
  readonly id: string;
  /** What is asked, one sentence. */
  readonly text: string;
  /** Files it is about, for thumbnails; all of them, in order. */
  readonly files: readonly IntakeFile[];
  readonly choices: readonly Choice[];
  /** The choice that holds until another is made. */
  readonly guess: string;
}

export interface Choice {
  readonly value: string;
  readonly text: string;
  /** Set when the choice is one of the files. */
  readonly file?: IntakeFile;
}

/** Question id → value of a choice. */
export type Answers = ReadonlyMap<string, string>;

export interface PlannedDrawing {
  readonly label: string;
  readonly rough?: IntakeFile;
  /** Oldest take first. */
  readonly cleans: readonly IntakeFile[];
}

export interface PlannedLevel {
  readonly name: string;
  readonly drawings: readonly PlannedDrawing[];
}

export interface PlannedShot {
  /** From `shot.json`, else from the entries beside it; absent where neither says one. */
  readonly id?: string;
  readonly title: string;
  /** Set when the title is made up: it is nobody else's by being equal. */
  readonly unnamed?: true;
  readonly levels: readonly PlannedLevel[];
  readonly shotFile?: ShotFile;
  /** Whether a rough that the shot has already gives way to a new one. */
  readonly replaceRoughs: boolean;
  /** Text of its `exposure.csv`. */
  readonly sheet?: string;
  readonly beside: readonly BesideFile[];
}

export interface Plan {
  readonly shots: readonly PlannedShot[];
  readonly questions: readonly Question[];
  readonly odd: readonly OddFile[];
  readonly fileCount: number;
  readonly byteLength: number;
}

/** Everything made of one file; fits the shelf's `keepImage`. */
export interface MadeImage {
  readonly ref: ImageRef;
  readonly file: ArrayBuffer;
  readonly thumb: Picture;
  readonly flip: Picture;
}

/** A file decoded, reduced and looked at. */
export interface Made {
  readonly width: number;
  readonly height: number;
  readonly mediaType: string;
  readonly thumb: Picture;
  readonly flip: Picture;
  /** Digest of size and decoded pixels, when asked for: equal for equal pictures, whatever their files. */
  readonly pixels?: string;
  /** The file's bytes, handed back. */
  readonly file: ArrayBuffer;
  /** What is odd about it though it was taken, e.g. animated. */
  readonly told: readonly string[];
}

export interface MakeOptions {
  /** Whether the pixels are digested too, for folding one file a frame. */
  readonly pixels?: boolean;
  readonly signal?: AbortSignal;
}

/** Decodes files, two at a time or so. Rejects with an `OddFileError` for a file that is no picture. */
export interface ImageMaker {
  /** How many it works on at once. */
  readonly width: number;
  /** `file` is handed over and comes back in the result. */
  make(file: ArrayBuffer, options?: MakeOptions): Promise<Made>;
  close(): void;
}

/** Where taken files go: the shelf. */
export interface ImageKeeper {
  hasImage(sha256: string): Promise<boolean>;
  keepImage(image: MadeImage): Promise<void>;
  /** Keeps what `change` makes of the shot as it lies there now, in one write and in `author`'s name; resolves to it. */
  changeShot(id: string, change: (now: Shot | undefined) => Shot, author: Author): Promise<Shot>;
  /** The bytes of a kept file. */
  file(sha256: string): Promise<ArrayBuffer | undefined>;
  shot(id: string): Promise<Shot | undefined>;
}

export interface Progress {
  readonly doneFiles: number;
  readonly totalFiles: number;
  readonly doneBytes: number;
  readonly totalBytes: number;
  /** The file just finished. */
  readonly name: string;
}

/** A shot that was there already, and is about to be kept with what came to it. */
export interface Newer {
  readonly before: Shot;
  readonly after: Shot;
  readonly beside: readonly BesideFile[];
}

export interface TakenIn {
  readonly shots: readonly {
    readonly shot: Shot;
    /** Pictures new to the shot, and pictures it had already. */
    readonly added: number;
    readonly unchanged: number;
    readonly beside: readonly BesideFile[];
  }[];
  readonly odd: readonly OddFile[];
}
