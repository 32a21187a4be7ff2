/** Pictures between tablet and studio: resumed where they broke off, checked by their hash, cancellable. */
import type { NewImage, Shelf } from '../shelf/types.ts';
import { imagesOf } from '../shot/images-of.ts';
import type { ImageRef, Shot } from '../shot/model.ts';
import { each, inLanes } from '../work/lanes.ts';
import { backoffMs } from './backoff.ts';
import type { Platform } from './platform.ts';
import type { Over, Studio } from './studio.ts';
import { MissingImages, StudioError } from './studio-answers.ts';
import { withOwn } from './with-own.ts';

export interface ImageProgress {
  readonly doneImages: number;
  readonly totalImages: number;
  readonly doneBytes: number;
  readonly totalBytes: number;
}

export interface ImageNeeds {
  readonly shelf: Shelf;
  readonly studio: Studio;
  readonly platform: Platform;
  /** Makes the tablet's sizes of a file (room `intake`, in its worker). Takes the buffer over. */
  readonly makeImage: (file: ArrayBuffer, ref: ImageRef) => Promise<NewImage>;
}

export interface Wanted {
  readonly signal?: AbortSignal | undefined;
  readonly onProgress?: ((progress: ImageProgress) => void) | undefined;
}

/** How often one picture is tried again before the whole gives up; what is kept stays kept. */
const tries = 5;
/** Pictures under way at once: fills a wireless link without starving the rest. */
const lanes = 3;

/**
 * Fetches the pictures of a shot that this tablet lacks, then keeps the shot; what only this tablet has of it stays.
 * `base`: the shot as the studio had it when this tablet heard of it last.
 */
export async function fetchShot(
  needs: ImageNeeds,
  shot: Shot,
  base: Shot,
  wanted: Wanted = {},
): Promise<void> {
  const missing = await select(imagesOf(shot), async (image) => !(await needs.shelf.hasImage(image.sha256)));
  await workThrough(missing, wanted, async (image, signal) => {
    const file = await persist(needs, signal, (attempt) => fetchImage(needs, image, attempt, signal));
    signal.throwIfAborted();
    await needs.shelf.keepImage(await needs.makeImage(file, image));
  });
  wanted.signal?.throwIfAborted();
  await needs.shelf.changeShot(shot.id, (ours) => withOwn(shot, ours, base));
}

/** Sends the pictures of a shot that the studio lacks, then the shot, over what it has as `over` says. */
export async function putUpShot(
  needs: Omit<ImageNeeds, 'makeImage'>,
  shot: Shot,
  over: Over,
  wanted: Wanted = {},
): Promise<void> {
  const lacking = await needs.studio.putShot(shot, over).then(
    () => undefined,
    (error: unknown) => {
      if (error instanceof MissingImages) return new Set(error.sha256s);
      throw error;
    },
  );
  if (!lacking) return;
  await workThrough(
    imagesOf(shot).filter((image) => lacking.has(image.sha256)),
    wanted,
    async (image, signal) => {
      const file = await needs.shelf.file(image.sha256);
      if (!file)
        throw new StudioError('refused', 'A picture of this shot is not on this tablet; take it in again.');
      await persist(needs, signal, async () => {
        const { whole, received } = await needs.studio.uploaded(image.sha256, signal);
        if (!whole)
          await needs.studio.upload(image.sha256, file, received < file.byteLength ? received : 0, signal);
      });
    },
  );
  // After all those pictures the shot is not given up for one call that did not get through.
  await persist(needs, wanted.signal ?? new AbortController().signal, () => needs.studio.putShot(shot, over));
}

async function select<T>(items: readonly T[], test: (item: T) => Promise<boolean>): Promise<T[]> {
  const keep = await Promise.all(items.map(test));
  return items.filter((_, index) => keep[index]);
}

/** Works through all pictures a few at a time; the first failure stops the rest. */
async function workThrough(
  images: readonly ImageRef[],
  { signal, onProgress }: Wanted,
  work: (image: ImageRef, signal: AbortSignal) => Promise<void>,
): Promise<void> {
  const stop = new AbortController();
  const both = signal ? AbortSignal.any([signal, stop.signal]) : stop.signal;
  const totalBytes = images.reduce((sum, image) => sum + image.byteLength, 0);
  let [doneImages, doneBytes] = [0, 0];
  const tell = (): void => onProgress?.({ doneImages, totalImages: images.length, doneBytes, totalBytes });
  const one = async (image: ImageRef): Promise<void> => {
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
  { studio, platform }: ImageNeeds,
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
        const call = platform.after(backoffMs(failures, platform.random), resolve);
        signal.addEventListener('abort', () => {
          call();
          resolve();
        });
      });
    }
  }
}
