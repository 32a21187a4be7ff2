/** One shot's folder into the store: pictures first, then what it says of them, so that nothing offered is missing. */
import { randomUUID } from 'node:crypto';
import { join } from 'node:path';
import * as v from 'valibot';
import { type OddFile, OddFileError, sayOdd } from '../intake/source.ts';
import { type Entry, id as idSchema } from '../note/entry.ts';
import { folderWriter, isReserved, originEntries } from '../note/origin.ts';
import { parseEntry } from '../note/parse.ts';
import { shotOf, withoutPictures } from '../note/shot-of.ts';
import { writtenEntries } from '../note/written.ts';
import { imagesOf } from '../shot/images-of.ts';
import type { Drawing, ImageRef, Shot } from '../shot/model.ts';
import { isTooLong } from '../wire/entries.ts';
import { folderBodies } from './folder-bodies.ts';
import { type PixelMemory, pixelDigest, withKnownPixels } from './known-pixels.ts';
import type { Images } from './pictures/images.ts';
import type { EntryStore, ShotStore, Written } from './store/types.ts';

/** A shot as it lies on a disk: what intake's `readShot` gives. */
export interface FolderShot {
  readonly shot: Shot;
  readonly odd: readonly OddFile[];
  bytes(image: ImageRef): Promise<Uint8Array>;
  /** Where it lies in the folder. */
  pathOf(image: ImageRef): string;
}

export type ReadShot = (path: string, options: { id?: string }) => Promise<FolderShot>;

export interface FolderNeeds {
  readonly readShot: ReadShot;
  readonly store: ShotStore & EntryStore;
  readonly images: Pick<Images, 'has' | 'keep' | 'bytes'>;
  readonly memory: PixelMemory;
  readonly log: (line: string) => void;
}

/**
 * `name` is the shot's folder in `folder`. What is new is said in the folder's own name; what a shot that nobody knew
 * brings is said by nobody, as on every tablet. Says what is odd. Rejects when it cannot be read as one shot.
 */
export async function readFolderShot(folder: string, name: string, needs: FolderNeeds): Promise<void> {
  const { store, images, log, memory } = needs;
  const ofFolder = (await store.folders()).get(name);
  const read = await needs.readShot(join(folder, name), ofFolder === undefined ? {} : { id: ofFolder });
  const id = ofFolder ?? (await freeId(read.shot.id, store));
  for (const odd of read.odd) log(`${name}: ${sayOdd(odd)}`);
  const here = await keepPictures(read, name, needs);
  if (ofFolder === undefined) await store.setFolder(name, id);
  const paper = await store.paper(id);
  const known = shotOf(id, paper);
  const bytes = {
    read: (image: ImageRef) => read.bytes(image),
    file: (sha256: string) => images.bytes(sha256),
  };
  const { shot, told } = known ? await withKnownPixels(here, known, bytes, memory) : { shot: here, told: [] };
  for (const sentence of told) log(`${name}: ${sentence}.`);
  const said = shotOf(
    id,
    paper.filter(({ writer }) => isReserved(writer.id)),
  );
  const bodies = folderBodies(shot, said);
  const author = { writer: folderWriter, newId: randomUUID, nowMs: Date.now() };
  const entries = said
    ? writtenEntries(id, bodies, author, await store.latestStamp(id))
    : originEntries(id, bodies);
  // In one commit: broken off before, the next reading says all of it.
  await store.add(entries.map(written), undefined);
}

/** Keeps what is new; resolves to the shot without the pictures that do not decode, which are named in the log. */
async function keepPictures(read: FolderShot, name: string, needs: FolderNeeds): Promise<Shot> {
  const { images, memory, log } = needs;
  const odd = new Set<string>();
  for (const image of imagesOf(read.shot)) {
    if (await images.has(image.sha256)) continue;
    try {
      const bytes = await read.bytes(image);
      await pixelDigest(bytes, memory);
      await images.keep(image.sha256, bytes);
    } catch (error) {
      if (!(error instanceof OddFileError)) throw error;
      odd.add(image.sha256);
      log(
        `${name}: ${sayOdd({ name: read.pathOf(image), why: error.message, todo: error.todo, taken: false })}`,
      );
    }
  }
  const { levels, ...shot } = withoutPictures(read.shot, odd);
  const hasPicture = ({ rough, takes }: Drawing): boolean => rough !== undefined || takes.length > 0;
  return {
    ...shot,
    levels: levels.map((level, n) => {
      const before = read.shot.levels[n]?.drawings ?? [];
      const drawings = level.drawings.filter((drawing, k) => {
        const was = before[k];
        return hasPicture(drawing) || !was || !hasPicture(was);
      });
      return { ...level, drawings };
    }),
  };
}

/**
 * A copy of another shot's folder brings that one's id: it is a shot of its own all the same. One that a tablet put up
 * is taken over by the folder that has its id.
 */
async function freeId(id: string, store: ShotStore): Promise<string> {
  const isTaken = [...(await store.folders()).values()].includes(id);
  return isTaken || !v.is(idSchema, id) ? randomUUID() : id;
}

/** What no tablet could read is not written: the folder's files say something that they may not. */
function written(entry: Entry): Written {
  const json = JSON.stringify(entry);
  const parsed = parseEntry(JSON.parse(json));
  if (parsed.ok && !isTooLong(json)) return { entry, json };
  const why = parsed.ok ? 'what it says in one place is longer than a million characters' : parsed.reason;
  throw new OddFileError(`its shot.json cannot be passed on (${why})`, 'Look at what it says there.');
}
