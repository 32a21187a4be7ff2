/** What changed between two takes, found once and kept; and the older take as it lies under the newer. */
import type { Picture } from '../../line/picture.ts';
import type { ComparedTakes } from '../../note/retakes/verdict.ts';
import type { KeptMeasures } from '../../shelf/kept-measures.ts';
import type { Shelf } from '../../shelf/types.ts';
import type { ImageRef } from '../../shot/model.ts';
import { pictureSource } from '../picture-source.ts';
import type { TakesWorker } from './takes-worker.ts';

/** Goes up when the measure changes its meaning, so that kept results are made anew. */
const version = 1;

export interface Comparing {
  /** Undefined when one of the two pictures is not on this tablet. Rejects with a sentence. */
  change(before: ImageRef, after: ImageRef): Promise<ComparedTakes | undefined>;
  /**
   * The older take scaled and moved onto the newer, put among `made`; the older take itself where it lies
   * right as it is, or where it cannot be told how it should lie.
   */
  lay(older: ImageRef, newer: ImageRef, made: Map<string, Picture>): Promise<ImageRef>;
}

/** A shift below this is not to be seen at flip size. */
const seenFromPx = 0.3;
/** Pictures made at once: of the drawing at hand and of those just left. */
const mostMade = 4;

const madePrefix = 'laid:';
export const isMade = (sha256: string): boolean => sha256.startsWith(madePrefix);

/** What is found goes with its pictures (`KeptMeasures`). */
export function comparing(
  shelf: Shelf,
  measures: Pick<KeptMeasures, 'get' | 'set'>,
  worker: TakesWorker,
): Comparing {
  const asked = new Map<string, Promise<ComparedTakes | undefined>>();
  const source = pictureSource(shelf, new Map());
  /** Also one that the shelf let go to make room: it is made again from its file. */
  const flipOf = (image: ImageRef): Promise<Picture | undefined> =>
    source.flip(image, new AbortController().signal);

  async function find(before: ImageRef, after: ImageRef, key: string): Promise<ComparedTakes | undefined> {
    const kept = await measures.get(key).catch(() => undefined);
    if (kept) return kept as ComparedTakes;
    const [older, newer] = [await flipOf(before), await flipOf(after)];
    if (!older || !newer) return undefined;
    const sizePx = [older.width, older.height] as const;
    const found = { change: await worker.change(older, newer), sizePx };
    // Found again when it could not be kept.
    await measures.set(key, found).catch(() => undefined);
    return found;
  }

  const self: Comparing = {
    change(before, after) {
      const key = `redrawn ${version}:${before.sha256}:${after.sha256}`;
      const known = asked.get(key) ?? find(before, after, key);
      asked.set(key, known);
      // What failed once, or waits for a picture, may be asked again.
      known.then(
        (found) => found ?? asked.delete(key),
        () => asked.delete(key),
      );
      return known;
    },
    async lay(older, newer, made) {
      const found = await self.change(older, newer);
      if (!found) return older;
      const { move } = found.change;
      const sameSize = older.width === newer.width && older.height === newer.height;
      const reach =
        move && Math.hypot(move.dxPx, move.dyPx) + (Math.abs(move.angleRad) * found.sizePx[0]) / 2;
      if (sameSize && !(reach && reach > seenFromPx)) return older;
      const sha256 = `${madePrefix}${older.sha256}:${newer.sha256}`;
      if (!made.has(sha256)) {
        const picture = await flipOf(older);
        if (!picture) return older;
        const scale = Math.min(
          1,
          Math.max(picture.width, picture.height) / Math.max(newer.width, newer.height),
        );
        const sizePx = [Math.round(newer.width * scale), Math.round(newer.height * scale)] as const;
        made.set(sha256, await worker.lay(picture, move, sizePx));
        for (const oldest of [...made.keys()].slice(0, -mostMade)) made.delete(oldest);
      }
      return { ...newer, sha256 };
    },
  };
  return self;
}
