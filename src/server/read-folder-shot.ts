/** One shot's folder into the store: pictures first, the shot after, so that nothing offered is missing. */
import { randomUUID } from 'node:crypto';
import { join } from 'node:path';
import type { ImageRef, Shot } from '../shot/model.ts';
import type { Images } from './images.ts';
import { imagesOf } from './images-of.ts';
import { mergeShot } from './merge-shot.ts';
import type { ShotStore } from './store/types.ts';

/** A shot as it lies on a disk: what intake's `readShot` gives. */
export interface FolderShot {
  readonly shot: Shot;
  readonly odd: readonly { readonly name: string; readonly why: string; readonly todo: string }[];
  bytes(image: ImageRef): Promise<Uint8Array>;
}

export type ReadShot = (path: string, options: { id?: string }) => Promise<FolderShot>;

export interface FolderNeeds {
  readonly readShot: ReadShot;
  readonly store: ShotStore;
  readonly images: Images;
  readonly changed: () => void;
  readonly log: (line: string) => void;
}

/** `name` is the shot's folder in `folder`. Says what is odd; a folder without pictures is no shot. */
export async function readFolderShot(folder: string, name: string, needs: FolderNeeds): Promise<void> {
  const { store, images, log } = needs;
  const known = store.shots().find((kept) => kept.folder === name);
  const id = known?.shot.id ?? randomUUID();
  const read = await needs.readShot(join(folder, name), { id });
  for (const { name: file, why, todo } of read.odd) log(`${name}/${file}: ${why}. ${todo}`.trim());
  if (read.shot.levels.every((level) => level.drawings.length === 0)) return;
  for (const image of imagesOf(read.shot)) {
    if (!(await images.has(image.sha256))) await images.keep(image.sha256, await read.bytes(image));
  }
  const shot = known ? mergeShot(known.shot, read.shot) : { ...read.shot, id };
  const { version } = store.keepShot(shot, name);
  if (version !== known?.version) needs.changed();
}
