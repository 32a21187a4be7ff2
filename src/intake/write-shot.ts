/** A shot written out: `TITLE/rough`, `TITLE/clean` (per level where there are levels), `shot.json`, `exposure.csv`. */
import { Zip, ZipPassThrough } from 'fflate';
import { SentenceError } from '../error/sentence.ts';
import { writeExposureCsv } from '../shot/exposure-csv.ts';
import type { Drawing, ImageRef, Level, Shot } from '../shot/model.ts';
import { type PicturePaths, writeShotJson } from '../shot/shot-json.ts';

/** One file of a shot written out; either a picture or a text. */
export interface OutFile {
  /** Below the shot's own folder, e.g. `clean/0012.png`. */
  readonly path: string;
  readonly image?: ImageRef;
  readonly text?: string;
}

/** Where pictures lie: the newest take in `clean/`, older ones in `clean/take 1/`. */
const picturePaths: PicturePaths = {
  rough: (level, drawing) => `${folderOf(level)}rough/${fileName(drawing.label, drawing.rough)}`,
  take: (level, { label, takes }, take) =>
    `${folderOf(level)}clean/${take === takes.at(-1) ? '' : `take ${take.number}/`}${fileName(label, take.image)}`,
};

/** Everything a shot is written out as, texts first. */
export function shotFiles(shot: Shot): OutFile[] {
  const pictures = shot.levels.flatMap((level) =>
    level.drawings.flatMap((drawing) => filesOf(level, drawing)),
  );
  return [
    { path: 'shot.json', text: writeShotJson(shot, picturePaths) },
    { path: 'exposure.csv', text: writeExposureCsv(shot.levels) },
    ...pictures,
  ];
}

function filesOf(level: Level, drawing: Drawing): OutFile[] {
  const takes = drawing.takes.map((take) => ({
    path: picturePaths.take(level, drawing, take),
    image: take.image,
  }));
  return drawing.rough
    ? [{ path: picturePaths.rough(level, drawing), image: drawing.rough }, ...takes]
    : takes;
}

/** Where a drawing lies that is handed out alone: `A/0012.png`, without a level's folder `0012.png`. */
export const picturePath = (level: string, label: string, mediaType = 'image/png'): string =>
  `${folderOf({ name: level })}${fileName(label, { mediaType })}`;

function folderOf({ name }: Pick<Level, 'name'>): string {
  return name ? `${safeName(name)}/` : '';
}

const endings: Readonly<Record<string, string>> = {
  'image/png': 'png',
  'image/jpeg': 'jpg',
  'image/webp': 'webp',
  'image/tiff': 'tif',
};

/** Numbers are filled up to four digits, so that every system lists them in order. */
function fileName(label: string, image: Pick<ImageRef, 'mediaType'> | undefined): string {
  const padded = label.replace(/\d+/, (digits) => digits.padStart(4, '0'));
  return `${safeName(padded)}.${endings[image?.mediaType ?? ''] ?? 'bin'}`;
}

/** A name that every file system takes. */
export function safeName(name: string): string {
  return name.replace(/[<>:"/\\|?*\p{Cc}]/gu, '_').replace(/^[\s.]+|[\s.]+$/g, '') || '_';
}

export interface WriteOptions {
  /** More texts, below the shot's own folder. */
  readonly extra?: readonly { readonly path: string; readonly text: string }[];
  readonly signal?: AbortSignal;
  readonly onProgress?: (doneFiles: number, totalFiles: number) => void;
}

/**
 * A zip of the shot, made as it is read: one picture in memory at a time. `file` gives the bytes of an image
 * by its SHA-256; the stream fails with a sentence when one is not there. Pictures are stored, not packed
 * again.
 */
export function writeShotZip(
  shot: Shot,
  file: (sha256: string) => Promise<ArrayBuffer | Uint8Array<ArrayBuffer> | undefined>,
  { extra = [], signal, onProgress }: WriteOptions = {},
): ReadableStream<Uint8Array<ArrayBuffer>> {
  const files: OutFile[] = [...extra, ...shotFiles(shot)];
  const folder = safeName(shot.title || 'Shot');
  let done = 0;
  let zip: Zip;
  return new ReadableStream({
    start(controller) {
      zip = new Zip((error, chunk, final) => {
        if (error) return controller.error(error);
        controller.enqueue(chunk);
        if (final) controller.close();
      });
    },
    async pull() {
      signal?.throwIfAborted();
      const next = files[done++];
      if (!next) return zip.end();
      const bytes = next.image ? await file(next.image.sha256) : new TextEncoder().encode(next.text);
      if (!bytes)
        throw new SentenceError(
          'missing',
          `${next.path} could not be written: its picture is not kept here. Fetch it first.`,
        );
      const entry = new ZipPassThrough(`${folder}/${next.path}`);
      // A fixed date: the same shot gives the same bytes.
      entry.mtime = '2000-01-01T00:00:00';
      zip.add(entry);
      entry.push(new Uint8Array(bytes), true);
      onProgress?.(done, files.length);
    },
  });
}
