/** A shot on disk, as folder or zip: its drawings listed, its pictures decoded when they are asked for. */

import { createHash } from 'node:crypto';
import { open, readdir, readFile, stat } from 'node:fs/promises';
import { basename, join, relative, resolve, sep } from 'node:path';
import sharp from 'sharp';
import type { Picture } from '../../line/picture.ts';
import { strangeKind } from '../../line/strange.ts';
import type { ImageRef, Shot } from '../../shot/model.ts';
import { each, inLanes } from '../../work/lanes.ts';
import { buildShot, needsPixels, type TakenFile } from '../build-shot.ts';
import { gatherOdd } from '../gather.ts';
import { flipEdgePx, sha256Hex, tellStrange } from '../make-image.ts';
import { onPaper } from '../on-paper.ts';
import { isLitter, openIntake } from '../open.ts';
import { planIntake } from '../plan.ts';
import { reduce } from '../reduce.ts';
import { isPicture, mediaTypes, sniff, sniffLength } from '../sniff.ts';
import { type ByteSource, type InputFile, type IntakeFile, type OddFile, OddFileError } from '../source.ts';
import type { BesideFile, PlannedShot } from '../types.ts';
import { decodePicture } from './decode-picture.ts';
import { pixelsOf } from './pixels-of.ts';
import { checkWholeFile } from './whole-file.ts';

export interface DiskShot {
  readonly shot: Shot;
  /** Files not taken, and what is odd about those that were. Questions were answered with their guesses. */
  readonly odd: readonly OddFile[];
  /** Entries and findings that lie beside it, not read. */
  readonly beside: readonly BesideFile[];
  /** Full size, one channel when grey. */
  picture(image: ImageRef): Promise<Picture>;
  /** The file's bytes. */
  bytes(image: ImageRef): Promise<Uint8Array<ArrayBuffer>>;
  /** Where the image lies: a path below the shot, `ZIP/…` for a zip's entries. */
  pathOf(image: ImageRef): string;
}

export interface ReadOptions {
  /** Id of the shot; else the one it says of itself; else made from its absolute path, so that it is stable. */
  readonly id?: string;
  readonly signal?: AbortSignal;
  readonly onProgress?: (doneFiles: number, totalFiles: number) => void;
  /** Every picture is decoded now, so that one that cannot be is named before anything is measured. */
  readonly decode?: boolean;
}

/** No drawing can be read there; `odd` says of each file why. */
export class NothingReadError extends OddFileError {
  readonly odd: readonly OddFile[];
  constructor(path: string, odd: readonly OddFile[]) {
    super(`${path} holds no drawing that can be read`, 'Look whether it is the right folder.');
    this.name = 'NothingReadError';
    this.odd = odd;
  }
}

/**
 * Reads the shot at `path`: a folder, a zip, or a single picture. Every file is hashed; only one-file-a-frame
 * exports are decoded now. Rejects when nothing can be read there, or when it holds no drawing.
 */
export async function readShot(path: string, options: ReadOptions = {}): Promise<DiskShot> {
  const { shots, odd } = await readAll(path, options);
  const [first, ...others] = shots;
  if (!first) throw new NothingReadError(path, odd);
  if (others.length === 0) return first;
  throw new OddFileError(`${path} holds ${others.length + 1} shots`, 'Name the folder of one of them.');
}

/** Every shot at `path`, several where it holds folders of shots; with what was odd, which no shot carries when there is none. */
async function readAll(
  path: string,
  options: ReadOptions,
): Promise<{ shots: DiskShot[]; odd: readonly OddFile[] }> {
  const opened = await openIntake(await inputAt(path), options);
  const plan = planIntake(opened, new Map());
  const shots: DiskShot[] = [];
  const odd: OddFile[] = [];
  for (const [index, planned] of plan.shots.entries()) {
    const id = options.id ?? planned.id ?? stableId(resolve(path), index, planned);
    const disk = await readPlanned(planned, id, index === 0 ? plan.odd : [], options);
    if (disk.shot.levels.some(({ drawings }) => drawings.length > 0)) shots.push(disk);
    odd.push(...disk.odd);
  }
  return { shots, odd: plan.shots.length > 0 ? odd : plan.odd };
}

function stableId(path: string, index: number, { title }: PlannedShot): string {
  return createHash('sha256').update(`${path}\n${index}\n${title}`).digest('hex').slice(0, 32);
}

async function readPlanned(
  planned: PlannedShot,
  id: string,
  told: readonly OddFile[],
  { signal, onProgress, decode = false }: ReadOptions,
): Promise<DiskShot> {
  const odd = [...told];
  const taken = new Map<IntakeFile, TakenFile>();
  const files = new Map<string, IntakeFile>();
  const work = planned.levels.flatMap((level) => {
    const pixels = needsPixels(planned, level, undefined);
    return level.drawings
      .flatMap(({ rough, cleans }) => [...(rough ? [rough] : []), ...cleans])
      .map((file) => ({ file, pixels }));
  });
  let done = 0;
  await inLanes(4, each(work), async ({ file, pixels }) => {
    signal?.throwIfAborted();
    try {
      const { told, ...result } = await readFileOf(file, pixels, decode);
      for (const why of told) odd.push({ name: file.path, why, todo: '', taken: true });
      files.set(result.ref.sha256, file);
      taken.set(file, result);
    } catch (error) {
      if (!(error instanceof OddFileError)) throw error;
      odd.push({ name: file.path, why: error.message, todo: error.todo, taken: false });
    }
    onProgress?.(++done, work.length);
  });
  const built = buildShot(planned, taken, id);
  const fileOf = (image: ImageRef): IntakeFile => {
    const file = files.get(image.sha256);
    if (!file)
      throw new OddFileError(`no file of this shot has the digest ${image.sha256}`, 'Read the shot again.');
    return file;
  };
  const bytes = (image: ImageRef) => fileOf(image).bytes();
  return {
    shot: built.shot,
    odd: gatherOdd([...odd, ...built.odd]),
    beside: planned.beside,
    bytes,
    pathOf: (image) => fileOf(image).path,
    picture: async (image) => decodePicture(await bytes(image)),
  };
}

async function readFileOf(
  file: IntakeFile,
  pixels: boolean,
  decode: boolean,
): Promise<TakenFile & { readonly told: readonly string[] }> {
  const bytes = await file.bytes();
  const { kind, words } = sniff(bytes.subarray(0, sniffLength));
  if (!isPicture(kind)) throw new OddFileError(`it is ${words}`, 'Export it as PNG.');
  const told = checkWholeFile(kind, bytes);
  const { width, height, pages } = await uprightSize(bytes);
  if (kind === 'tiff' && pages > 1) told.push(`it holds ${pages} pictures; the first was taken`);
  const ref = {
    sha256: await sha256Hex(bytes),
    width,
    height,
    mediaType: mediaTypes[kind],
    byteLength: bytes.byteLength,
  };
  if (!pixels && !decode) return { ref, told };
  const picture = await decodePicture(bytes);
  // Judged at the size, and on the paper, on which a tablet judges it.
  const strange =
    decode && strangeKind(reduce(onPaper({ ...picture, data: picture.data.slice() }), flipEdgePx));
  if (strange) told.push(tellStrange(strange));
  if (!pixels) return { ref, told };
  return { ref, told, pixels: await pixelsOf(picture) };
}

async function uprightSize(bytes: Uint8Array): Promise<{ width: number; height: number; pages: number }> {
  try {
    const { autoOrient, pages = 1 } = await sharp(bytes).metadata();
    return { ...autoOrient, pages };
  } catch (error) {
    throw new OddFileError('it is damaged and cannot be read', 'Copy or export it again.', { cause: error });
  }
}

/** All files below a folder, or the one file, named from the folder's own name on. */
async function inputAt(path: string): Promise<InputFile[]> {
  const root = resolve(path);
  const found = await stat(root);
  if (found.isFile()) return [{ path: basename(root), source: diskSource(root, found.size) }];
  const entries = await readdir(root, { recursive: true, withFileTypes: true });
  const files = entries
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .filter((file) => !isLitter(relative(root, file)));
  return Promise.all(
    files.map(async (file) => ({
      path: [basename(root), ...relative(root, file).split(sep)].join('/'),
      source: diskSource(file, (await stat(file)).size),
    })),
  );
}

function diskSource(path: string, byteLength: number): ByteSource {
  return {
    byteLength,
    async read(start, end) {
      if (start === 0 && end === byteLength) return new Uint8Array(await readFile(path));
      const file = await open(path);
      try {
        const bytes = new Uint8Array(Math.max(0, end - start));
        const { bytesRead } = await file.read(bytes, 0, bytes.length, start);
        return bytes.subarray(0, bytesRead);
      } finally {
        await file.close();
      }
    },
  };
}
