/** Pictures between tablet and studio: resumed where they broke off, checked by their hash, cancellable. */
import { sentenceOf } from '../error/sentence.ts';
import type { Entry } from '../note/entry.ts';
import { isKind } from '../note/union.ts';
import { type NewImage, type Shelf, ShelfError } from '../shelf/types.ts';
import type { ImageRef } from '../shot/model.ts';
import { each, inLanes } from '../work/lanes.ts';
import { backoffMs } from './backoff.ts';
import type { Platform } from './platform.ts';
import type { Studio } from './studio.ts';
import { StudioError } from './studio-answers.ts';

export interface ImageProgress {
  readonly doneImages: number;
  readonly totalImages: number;
  readonly doneBytes: number;
  readonly totalBytes: number;
}

export interface ImageNeeds {
  readonly shelf: Shelf;
  readonly studio: Studio;
  readonly platform: Pick<Platform, 'random' | 'after'>;
}

export interface FetchNeeds extends ImageNeeds {
  readonly platform: Pick<Platform, 'random' | 'after' | 'sha256'>;
  /** Makes the tablet's sizes of a file (room `intake`, in its worker). Takes the buffer over. */
  readonly makeImage: (file: ArrayBuffer, ref: ImageRef) => Promise<NewImage>;
}

export interface Wanted {
  readonly signal?: AbortSignal | undefined;
  readonly onProgress?: ((progress: ImageProgress) => void) | undefined;
}

/** Its length counts in the progress only. */
type Sized = Pick<ImageRef, 'sha256' | 'byteLength'>;

/** How often one picture is tried again before the whole gives up; what is kept stays kept. */
const tries = 5;
/** Pictures under way at once: fills a wireless link without starving the rest. */
const lanes = 3;

/** The pictures that entries name, each once. */
export function picturesOf(entries: readonly Entry[]): ImageRef[] {
  const images = entries.flatMap((entry) =>
    isKind(entry, 'take', 'rough') && entry.body.image ? [entry.body.image] : [],
  );
  return [...new Map(images.map((image) => [image.sha256, image])).values()];
}

/**
 * Fetches pictures onto the shelf. One that cannot be had (the studio has lost it, no tablet can take it) stops no
 * other: resolves to why, by hash. Rejects when the network, the room or the person ends it.
 */
export async function fetchPictures(
  needs: FetchNeeds,
  images: readonly ImageRef[],
  wanted: Wanted = {},
): Promise<ReadonlyMap<string, NotHad>> {
  const faults = new Map<string, NotHad>();
  await workThrough(images, wanted, async (image, signal) => {
    try {
      const file = await persist(needs, signal, (attempt) => fetchImage(needs, image, attempt, signal));
      signal.throwIfAborted();
      await needs.shelf.keepImage(await needs.makeImage(file, image));
    } catch (error) {
      signal.throwIfAborted();
      if (error instanceof ShelfError || (error instanceof StudioError && !isOfPicture(error))) throw error;
      faults.set(image.sha256, { why: sentenceOf(error), isLost: isLost(error) });
    }
  });
  return faults;
}

/** A picture that could not be had. */
export interface NotHad {
  readonly why: string;
  /** The studio has it no more, until somebody puts it up again. */
  readonly isLost: boolean;
}

const isLost = (error: unknown): boolean => error instanceof StudioError && error.status === 404;

/** No network or server to blame: the same picture will fail again. */
const isOfPicture = ({ code, status }: StudioError): boolean =>
  code === 'refused' || (code === 'busy' && status === 0);

/**
 * Sends those that the studio lacks. Resolves to the hashes of those that it does not have then either, each with why it
 * was turned down, or without where it is not on this tablet.
 */
export async function sendPictures(
  needs: ImageNeeds,
  images: readonly Sized[],
  wanted: Wanted = {},
): Promise<ReadonlyMap<string, string | undefined>> {
  const missing = new Map<string, string | undefined>();
  if (images.length === 0) return missing;
  await workThrough(images, wanted, async (image, signal) => {
    const send = async (): Promise<void> => {
      const { whole, received } = await needs.studio.uploaded(image.sha256, signal);
      const file = whole ? undefined : await needs.shelf.file(image.sha256);
      if (file)
        await needs.studio.upload(image.sha256, file, received < file.byteLength ? received : 0, signal);
      else if (!whole) missing.set(image.sha256, undefined);
    };
    await persist(needs, signal, send).catch((error: unknown) => {
      // One that no tablet could take is turned down at the door; the others go up without it.
      if (!(error instanceof StudioError) || error.code !== 'refused') throw error;
      missing.set(image.sha256, error.message);
    });
  });
  return missing;
}

/** Works through all pictures a few at a time; the first failure stops the rest. */
async function workThrough<I extends Sized>(
  images: readonly I[],
  { signal, onProgress }: Wanted,
  work: (image: I, signal: AbortSignal) => Promise<void>,
): Promise<void> {
  const stop = new AbortController();
  const both = signal ? AbortSignal.any([signal, stop.signal]) : stop.signal;
  const totalBytes = images.reduce((sum, image) => sum + image.byteLength, 0);
  let [doneImages, doneBytes] = [0, 0];
  const tell = (): void => onProgress?.({ doneImages, totalImages: images.length, doneBytes, totalBytes });
  const one = async (image: I): Promise<void> => {
    await work(image, both);
    doneImages++;
    doneBytes += image.byteLength;
    tell();
  };
  tell();
  try {
    await inLanes(lanes, each(images), one, both);
  } catch (error) {
    stop.abort(error);
    throw error;
  }
}

/** Bytes of one picture that came so far, kept between tries. */
interface Attempt {
  received: Uint8Array<ArrayBuffer>[];
}

async function fetchImage(
  { studio, platform }: FetchNeeds,
  image: ImageRef,
  attempt: Attempt,
  signal: AbortSignal,
): Promise<ArrayBuffer> {
  const start = attempt.received.reduce((sum, piece) => sum + piece.byteLength, 0);
  const { from, pieces } = await studio.image(image.sha256, start, signal);
  if (from < start) attempt.received = [];
  for await (const piece of pieces) attempt.received.push(piece);
  const file = await new Blob(attempt.received).arrayBuffer();
  if (file.byteLength < image.byteLength) throw new StudioError('offline', 'The picture broke off.');
  if ((await platform.sha256(file)) === image.sha256) return file;
  attempt.received = [];
  throw new StudioError('busy', 'A picture did not arrive as it was sent.');
}

/** Tries again while it may help, a little later each time. */
async function persist<T>(
  { platform }: Pick<ImageNeeds, 'platform'>,
  signal: AbortSignal,
  work: (attempt: Attempt) => Promise<T>,
): Promise<T> {
  const attempt: Attempt = { received: [] };
  for (let failures = 1; ; failures++) {
    try {
      return await work(attempt);
    } catch (error) {
      signal.throwIfAborted();
      const worth = error instanceof StudioError && (error.code === 'offline' || error.code === 'busy');
      if (!worth || failures >= tries) throw error;
      await new Promise<void>((resolve) => {
        const stop = (): void => {
          cancel();
          resolve();
        };
        const cancel = platform.after(backoffMs(failures, platform.random), () => {
          signal.removeEventListener('abort', stop);
          resolve();
        });
        signal.addEventListener('abort', stop, { once: true });
      });
    }
  }
}
