/** In the page: what the desk does when the tablet is short of room or memory. */
import { pictureSource } from '../../src/desk/picture-source.ts';
import { paperBudgetBytes } from '../../src/desk/visit.ts';
import { createImageMaker } from '../../src/intake/image-maker.ts';
import type { Picture } from '../../src/line/picture.ts';
import { idbStore } from '../../src/shelf/idb-store.ts';
import { openShelf } from '../../src/shelf/open.ts';

const plain = (picture: Picture | undefined) => picture && { ...picture, data: [...picture.data] };

/** A black bar of 3 × 2 px at (2, 1) on white paper of 7 × 5 px, its flip picture let go after it was kept. */
export async function flipMadeAgain() {
  const shelf = await openShelf('let go');
  const canvas = new OffscreenCanvas(7, 5);
  const context = canvas.getContext('2d');
  if (!context) throw new Error('No canvas here.');
  context.fillStyle = '#fff';
  context.fillRect(0, 0, 7, 5);
  context.fillStyle = '#000';
  context.fillRect(2, 1, 3, 2);
  const png = await (await canvas.convertToBlob({ type: 'image/png' })).arrayBuffer();
  const ref = {
    sha256: 'b'.repeat(64),
    width: 7,
    height: 5,
    mediaType: 'image/png',
    byteLength: png.byteLength,
  };
  const maker = createImageMaker({ workers: 1 });
  const { file, thumb, flip } = await maker.make(png);
  maker.close();
  await shelf.keepImage({ ref, file, thumb, flip });
  await idbStore('let go').write('relaxed', (records) => {
    records.drop(['flip', ref.sha256]);
    return Promise.resolve();
  });
  const gone = await shelf.picture(ref.sha256, 'flip');
  const source = pictureSource(shelf, new Map());
  const again = await source.flip(ref, new AbortController().signal);
  return { gone: gone ?? null, again: plain(again), kept: plain(await shelf.picture(ref.sha256, 'flip')) };
}

export const budget = (): Promise<number> => paperBudgetBytes(() => crypto.randomUUID());
