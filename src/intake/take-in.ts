/** Takes a plan's files onto the shelf: images first, the shot last, so that it is whole at any moment. */
import type { Shot } from '../shot/model.ts';
import { buildShot, needsPixels, type TakenFile } from './build-shot.ts';
import { readHeader } from './header.ts';
import { sha256Hex } from './make-image.ts';
import { inTurns } from './open.ts';
import { isPicture, sniff, sniffLength } from './sniff.ts';
import { type IntakeFile, type OddFile, OddFileError } from './source.ts';
import type { ImageKeeper, ImageMaker, Plan, PlannedShot, Progress, TakenIn } from './types.ts';

export interface TakeInOptions {
  readonly maker: ImageMaker;
  readonly keeper: ImageKeeper;
  /** Makes the id of a new shot. */
  readonly newId: () => string;
  /** The shot to add to; the same one that was given to `planIntake`. */
  readonly into?: Shot;
  readonly signal?: AbortSignal;
  readonly onProgress?: (progress: Progress) => void;
}

/**
 * Reads, decodes and keeps every file of the plan, a few at a time. Files that cannot be taken are named in
 * `odd` and the rest goes on. Rejects when aborted or when the keeper cannot write (its own error); what was
 * kept by then is found again when the same files are taken in once more.
 */
export async function takeIn(plan: Plan, options: TakeInOptions): Promise<TakenIn> {
  const { keeper, newId, signal } = options;
  const odd: OddFile[] = [...plan.odd];
  const count = counter(plan, options);
  const shots: TakenIn['shots'][number][] = [];
  for (const planned of plan.shots) {
    const fileId = planned.shotFile?.id;
    const base = options.into ?? (fileId === undefined ? undefined : await keeper.shot(fileId));
    const taken = await takeFiles(planned, base, options, odd, count);
    const {
      shot,
      added,
      unchanged,
      odd: told,
    } = buildShot(planned, taken, base?.id ?? fileId ?? newId(), base);
    odd.push(...told);
    if (shot.levels.every(({ drawings }) => drawings.length === 0)) continue;
    signal?.throwIfAborted();
    // Nothing new is no change: a shot is not written again for it.
    if (!base || added > 0) await keeper.keepShot(shot);
    shots.push({ shot, added, unchanged });
  }
  return { shots, odd };
}

type Count = (file: IntakeFile) => void;

function counter(plan: Plan, { onProgress }: TakeInOptions): Count {
  const files = filesOf(plan.shots);
  const totalBytes = files.reduce((sum, { byteLength }) => sum + byteLength, 0);
  let [doneFiles, doneBytes] = [0, 0];
  return ({ path, byteLength }) => {
    doneFiles++;
    doneBytes += byteLength;
    onProgress?.({ doneFiles, totalFiles: files.length, doneBytes, totalBytes, name: path });
  };
}

function filesOf(shots: readonly PlannedShot[]): IntakeFile[] {
  return shots.flatMap(({ levels }) =>
    levels.flatMap(({ drawings }) =>
      drawings.flatMap(({ rough, cleans }) => [...(rough ? [rough] : []), ...cleans]),
    ),
  );
}

async function takeFiles(
  planned: PlannedShot,
  base: Shot | undefined,
  { maker, keeper, signal }: TakeInOptions,
  odd: OddFile[],
  count: Count,
): Promise<Map<IntakeFile, TakenFile>> {
  const taken = new Map<IntakeFile, TakenFile>();
  const seen = new Map<string, Promise<TakenFile>>();
  const work = planned.levels.flatMap((level) => {
    const pixels = needsPixels(planned, level, base);
    return filesOf([{ ...planned, levels: [level] }]).map((file) => ({ file, pixels }));
  });
  const takeOne = async ({ file, pixels }: { file: IntakeFile; pixels: boolean }) => {
    signal?.throwIfAborted();
    try {
      const bytes = whole(await file.bytes(signal));
      const sha256 = await sha256Hex(bytes);
      // Held frames are often the same file again and again: it is decoded once.
      const key = `${sha256}${pixels}`;
      const result =
        seen.get(key) ??
        take(bytes, sha256, pixels, { maker, keeper, signal }, (why) =>
          odd.push({ name: file.path, why, todo: '', taken: true }),
        );
      seen.set(key, result);
      taken.set(file, await result);
    } catch (error) {
      signal?.throwIfAborted();
      if (!(error instanceof OddFileError)) throw error;
      odd.push({ name: file.path, why: error.message, todo: error.todo, taken: false });
    }
    count(file);
  };
  // One more than there are decoders: while they decode, the next file is read and the last one kept.
  await inTurns(work, takeOne, maker.width + 1);
  return taken;
}

async function take(
  bytes: ArrayBuffer,
  sha256: string,
  pixels: boolean,
  { maker, keeper, signal }: Pick<TakeInOptions, 'maker' | 'keeper' | 'signal'>,
  tell: (why: string) => void,
): Promise<TakenFile> {
  const { byteLength } = bytes;
  const kept = await keeper.hasImage(sha256);
  const header = kept && !pixels ? headerOf(bytes) : undefined;
  if (header) {
    const { width, height, mediaType } = header;
    return { ref: { sha256, width, height, mediaType, byteLength } };
  }
  const {
    width,
    height,
    mediaType,
    file,
    thumb,
    flip,
    pixels: digest,
    told,
  } = await maker.make(bytes, { pixels, ...(signal && { signal }) });
  const ref = { sha256, width, height, mediaType, byteLength };
  told.forEach(tell);
  signal?.throwIfAborted();
  if (!kept) await keeper.keepImage({ ref, file, thumb, flip });
  return { ref, ...(digest !== undefined && { pixels: digest }) };
}

function headerOf(bytes: ArrayBuffer): ReturnType<typeof readHeader> {
  const { kind } = sniff(new Uint8Array(bytes, 0, Math.min(bytes.byteLength, sniffLength)));
  return isPicture(kind) ? readHeader(kind, new Uint8Array(bytes)) : undefined;
}

/** The bytes in a buffer of their own, fit to be handed to a worker. */
function whole(bytes: Uint8Array<ArrayBuffer>): ArrayBuffer {
  return bytes.byteLength === bytes.buffer.byteLength ? bytes.buffer : bytes.slice().buffer;
}
