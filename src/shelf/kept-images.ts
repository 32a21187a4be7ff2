/** Pictures on the shelf: what they take, which go when room runs out, which nobody needs any more. */
import { imagesOf } from '../shot/images-of.ts';
import type { ImageRef, Shot } from '../shot/model.ts';
import type { Key, Records, Room, Store, Tabs } from './store.ts';
import type { StoredPicture } from './stored-picture.ts';
import type { DeskState, Usage } from './types.ts';

export interface KeptImage {
  readonly ref: ImageRef;
  /** The tab that took it in: while it is open, the image is not swept out. */
  readonly session: string;
  readonly bytes: number;
}

export interface KeptDesk {
  readonly state: DeskState;
  readonly keptMs: number;
}

export const hashesOf = (shot: Shot): Set<string> => new Set(imagesOf(shot).map(({ sha256 }) => sha256));

export const dropImage = (records: Records, sha256: string): void => {
  for (const kind of ['image', 'file', 'thumb', 'flip']) records.drop([kind, sha256]);
};

/** A key's own part, after what it is a kind of. */
export const lastOf = (key: Key): string => key.at(-1) ?? '';

/** Measures go before any picture: they are made again by themselves, unasked. False when there are none. */
export async function letMeasuresGo(records: Records): Promise<boolean> {
  const keys = await records.keys(['measure']);
  for (const key of keys) records.drop(key);
  return keys.length > 0;
}

/** Lets flip pictures go: first those of unfinished intakes, then those of the shot not used for longest. */
export async function letOldestFlipsGo(records: Records): Promise<{ pictures: number; bytes: number }> {
  const flips = new Set((await records.keys(['flip'])).map(lastOf));
  const shots = await records.all<Shot>(['shot']);
  const desks = await Promise.all(shots.map((shot) => records.get<KeptDesk>(['desk', shot.id])));
  const uses = shots
    .map((shot, i) => ({ usedMs: desks[i]?.keptMs ?? 0, images: hashesOf(shot) }))
    .sort((a, b) => a.usedMs - b.usedMs)
    .map(({ images }) => images);
  const unused = [...flips].filter((sha) => !uses.some((images) => images.has(sha)));
  const oldest = [unused, ...uses.map((images) => [...images].filter((sha) => flips.has(sha)))].find(
    (images) => images.length > 0,
  );
  let bytes = 0;
  for (const sha of oldest ?? []) {
    bytes += (await records.get<StoredPicture>(['flip', sha]))?.bytes.byteLength ?? 0;
    records.drop(['flip', sha]);
  }
  return { pictures: oldest?.length ?? 0, bytes };
}

/** `usedBytes` by the browser's account, else by our own. */
export async function usageOf(store: Store, room: Room): Promise<Usage> {
  const { shots, images } = await store.read(async (records) => ({
    shots: await records.all<Shot>(['shot']),
    images: await records.all<KeptImage>(['image']),
  }));
  const bytesOf = new Map(images.map((image) => [image.ref.sha256, image.bytes]));
  const sum = (shas: Iterable<string>): number =>
    [...shas].reduce((bytes, sha) => bytes + (bytesOf.get(sha) ?? 0), 0);
  const [{ usedBytes, quotaBytes }, persistent] = await Promise.all([room.estimate(), room.persisted()]);
  return {
    usedBytes: usedBytes ?? sum(bytesOf.keys()),
    quotaBytes,
    persistent,
    perShot: new Map(shots.map((shot) => [shot.id, sum(hashesOf(shot))])),
  };
}

/** Takes away the pictures of intakes that ended with their tab. Resolves to how many. */
export async function sweepImages(store: Store, tabs: Tabs): Promise<number> {
  // Looked at before the tabs are: an image that a new tab takes in meanwhile is not among these.
  const before = await store.read((records) => records.all<KeptImage>(['image']));
  const alive = await tabs.alive();
  if (alive === undefined) return 0;
  const left = before.filter((image) => !alive.has(image.session));
  if (left.length === 0) return 0;
  return store.write('relaxed', async (records) => {
    const used = new Set((await records.all<Shot>(['shot'])).flatMap((shot) => [...hashesOf(shot)]));
    let swept = 0;
    for (const { ref, session } of left) {
      if (used.has(ref.sha256)) continue;
      const now = await records.get<KeptImage>(['image', ref.sha256]);
      if (now?.session !== session) continue;
      dropImage(records, ref.sha256);
      swept++;
    }
    return swept;
  });
}
