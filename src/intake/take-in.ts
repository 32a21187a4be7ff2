/** Takes a plan's files onto the shelf: images first, the shot last, so that it is whole at any moment. */
import type { Author } from '../note/written.ts';
import type { Shot } from '../shot/model.ts';
import { each, inLanes } from '../work/lanes.ts';
import { type BuiltShot, buildShot, needsPixels, type TakenFile } from './build-shot.ts';
import { byteGate } from './byte-gate.ts';
import { gatherOdd } from './gather.ts';
import { readHeader } from './header.ts';
import { sha256Hex } from './make-image.ts';
import { earlierTakes, type LabelledTake, sameTakes } from './same-take.ts';
import { isPicture, sniff, sniffLength } from './sniff.ts';
import { type IntakeFile, type OddFile, OddFileError } from './source.ts';
import type { ImageKeeper, ImageMaker, Made, Newer, Plan, PlannedShot, Progress, TakenIn } from './types.ts';

export interface TakeInOptions {
  readonly maker: ImageMaker;
  readonly keeper: ImageKeeper;
  /** Makes the id of a new shot. */
  readonly newId: () => string;
  /** In whose name newer drawings of a shot that is there are added. */
  readonly author: () => Author;
  /** The shot to add to; the same one that was given to `planIntake`. */
  readonly into?: Shot;
  readonly signal?: AbortSignal;
  readonly onProgress?: (progress: Progress) => void;
  /** Told of every shot that was kept, at once. */
  readonly onKept?: (shot: Shot) => void;
  /** Waited for before the shot is kept, so that what a pack says of its takes is there when they are. */
  readonly onNewer?: (newer: Newer) => Promise<void>;
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
    const fileId = planned.id;
    const base = options.into ?? (fileId === undefined ? undefined : await keeper.shot(fileId));
    const taken = await takeFiles(planned, base, options, odd, count);
    const id = base?.id ?? fileId ?? newId();
    const onto = (now: Shot | undefined): BuiltShot => buildShot(planned, taken, id, now);
    const { shot: built, added, unchanged, odd: told } = onto(base);
    odd.push(...told);
    if (built.levels.every(({ drawings }) => drawings.length === 0)) continue;
    signal?.throwIfAborted();
    let shot = built;
    // Nothing new is no change: a shot is not written again for it.
    if (!base || added > 0) {
      if (base) await options.onNewer?.({ before: base, after: built, beside: planned.beside });
      // Reading takes minutes; what the studio or another tab brought meanwhile stays.
      shot = await keeper.changeShot(id, (now = base) => onto(now).shot, options.author());
      options.onKept?.(shot);
    }
    shots.push({ shot, added, unchanged, beside: planned.beside });
  }
  return { shots, odd: gatherOdd(odd) };
}

/** Files read and not yet kept, together; one larger file goes alone. */
const mostBytesAtOnce = 96 * 1024 * 1024;

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
  const earlier = earlierTakes(planned, base);
  const same = sameTakes(maker, keeper, signal);
  const enter = byteGate(mostBytesAtOnce);
  const takeOne = async ({ file, pixels }: { file: IntakeFile; pixels: boolean }) => {
    signal?.throwIfAborted();
    const leave = await enter(file.byteLength);
    try {
      const bytes = whole(await file.bytes(signal));
      const sha256 = await sha256Hex(bytes);
      const takes = earlier.get(file) ?? [];
      const isKnown = takes.some(({ image }) => image.sha256 === sha256);
      const compared = isKnown ? [] : takes;
      const digested = pixels || compared.length > 0;
      // Held frames are often the same file again and again: it is decoded once. Not so where it comes to
      // drawings with takes of their own, each of which is asked whether it shows these pixels.
      const key = JSON.stringify([
        sha256,
        digested,
        ...compared.map(({ label, image }) => [label, image.sha256]),
      ]);
      const result =
        seen.get(key) ??
        take(bytes, sha256, digested, {
          maker,
          keeper,
          signal,
          sameAs: (made) => same(compared, made),
          tell: (why) => odd.push({ name: file.path, why, todo: '', taken: true }),
        });
      seen.set(key, result);
      taken.set(file, await result);
    } catch (error) {
      signal?.throwIfAborted();
      if (!(error instanceof OddFileError)) throw error;
      odd.push({ name: file.path, why: error.message, todo: error.todo, taken: false });
    } finally {
      leave();
    }
    count(file);
  };
  // One more than there are decoders: while they decode, the next file is read and the last one kept.
  await inLanes(maker.width + 1, each(work), takeOne);
  return taken;
}

interface Taking extends Pick<TakeInOptions, 'maker' | 'keeper' | 'signal'> {
  /** The take that the drawing has already and that shows the same pixels. */
  readonly sameAs: (made: Made) => Promise<LabelledTake | undefined>;
  readonly tell: (why: string) => void;
}

async function take(
  bytes: ArrayBuffer,
  sha256: string,
  pixels: boolean,
  { maker, keeper, signal, sameAs, tell }: Taking,
): Promise<TakenFile> {
  const { byteLength } = bytes;
  const kept = await keeper.hasImage(sha256);
  const header = kept && !pixels ? headerOf(bytes) : undefined;
  if (header) {
    const { width, height, mediaType } = header;
    return { ref: { sha256, width, height, mediaType, byteLength } };
  }
  const made = await maker.make(bytes, { pixels, ...(signal && { signal }) });
  const same = await sameAs(made);
  if (same) {
    tell(`it is the same, pixel for pixel, as take ${same.number} of ${same.label}, so it is no new take`);
    return { ref: same.image };
  }
  const { width, height, mediaType, file, thumb, flip, pixels: digest, told } = made;
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
