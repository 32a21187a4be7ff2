/** One shot's folder into the store: pictures first, the shot after, so that nothing offered is missing. */
import { randomUUID } from 'node:crypto';
import { join } from 'node:path';
import { type OddFile, sayOdd } from '../intake/source.ts';
import { arrivedBodies } from '../note/arrived.ts';
import { latestStamp, tick } from '../note/clock.ts';
import type { Entry } from '../note/entry.ts';
import { mergeNotes } from '../note/merge.ts';
import { folderWriter } from '../note/origin.ts';
import { imagesOf } from '../shot/images-of.ts';
import type { ImageRef, Shot } from '../shot/model.ts';
import type { Images } from './images.ts';
import { mergeShot } from './merge-shot.ts';
import { withKnownPixels } from './same-pixels.ts';
import type { EntryStore, ShotStore, Written } from './store/types.ts';

/** A shot as it lies on a disk: what intake's `readShot` gives. */
export interface FolderShot {
  readonly shot: Shot;
  readonly odd: readonly OddFile[];
  bytes(image: ImageRef): Promise<Uint8Array>;
}

export type ReadShot = (path: string, options: { id?: string }) => Promise<FolderShot>;

export interface FolderNeeds {
  readonly readShot: ReadShot;
  readonly store: ShotStore & EntryStore;
  readonly images: Images;
  readonly changed: () => void;
  readonly log: (line: string) => void;
}

/** `name` is the shot's folder in `folder`. Says what is odd. Rejects when it cannot be read as one shot. */
export async function readFolderShot(folder: string, name: string, needs: FolderNeeds): Promise<void> {
  const { store, images, log } = needs;
  const shots = store.shots();
  const ofFolder = shots.find((kept) => kept.folder === name);
  const read = await needs.readShot(join(folder, name), ofFolder ? { id: ofFolder.shot.id } : {});
  const ofId = shots.find((kept) => kept.shot.id === read.shot.id);
  // A copy of another shot's folder brings that one's id: it is a shot of its own all the same. One that a
  // tablet put up is taken over by the folder that has its id.
  const id = ofId?.folder !== undefined && ofId.folder !== name ? randomUUID() : read.shot.id;
  const known = ofFolder ?? (ofId?.folder === undefined ? ofId : undefined);
  for (const odd of read.odd) log(`${name}: ${sayOdd(odd)}`);
  for (const image of imagesOf(read.shot)) {
    if (!(await images.has(image.sha256))) await images.keep(image.sha256, await read.bytes(image));
  }
  const settled =
    known && (await withKnownPixels(known.shot, read.shot, ({ sha256 }) => images.bytes(sha256)));
  for (const sentence of settled?.told ?? []) log(`${name}: ${sentence}.`);
  const shot = known && settled ? mergeShot(known.shot, settled.shot) : { ...read.shot, id };
  // Said first: broken off in between, the next reading says nothing twice and still brings the takes.
  if (known && JSON.stringify(shot) !== JSON.stringify(known.shot)) await sayArrived(store, known.shot, shot);
  const { version } = store.keepShot(shot, name);
  if (version !== known?.version) needs.changed();
}

/** Says of drawings that got a newer take that they are clean now. */
async function sayArrived(store: EntryStore, before: Shot, after: Shot): Promise<void> {
  const said: Entry[] = store
    .after(after.id, 0, Number.MAX_SAFE_INTEGER)
    .map(({ json }) => JSON.parse(json) as Entry);
  let stamp = latestStamp(said.map((entry) => entry.stamp));
  const written = arrivedBodies(before, after, mergeNotes(said)).map((body): Written => {
    stamp = tick(stamp, Date.now());
    const entry: Entry = { v: 1, id: randomUUID(), shot: after.id, writer: folderWriter, stamp, body };
    return { entry, json: JSON.stringify(entry) };
  });
  if (written.length > 0) await store.add(written, undefined);
}
