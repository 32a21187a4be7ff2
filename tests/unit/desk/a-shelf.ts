import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import type { Shelf } from '../../../src/shelf/types.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { putShot } from '../../support/put-shot.ts';
import { figure, image } from './a-shot.ts';

const dot = { width: 1, height: 1, channels: 1, data: new Uint8Array(1) } as const;

/** A shelf in memory with the pictures of `figure` and a shot made of it. */
export async function shelfWith(shot: Shot): Promise<Shelf> {
  const shelf = memoryShelf();
  for (const { label, rough, takes } of figure.drawings)
    for (const ref of [rough, ...takes.map((take) => take.image)])
      if (ref)
        await shelf.keepImage({
          ref: { ...ref, ...image(`${ref.sha256[0]}${label}`) },
          file: new ArrayBuffer(1),
          thumb: dot,
          flip: dot,
        });
  await putShot(shelf, shot);
  return shelf;
}
