/** Pictures of a shot on disk as exports want them: on paper, no larger than needed. */
import type { DiskShot } from '../intake/node/read-shot.ts';
import { onPaper } from '../intake/on-paper.ts';
import { reduce } from '../intake/reduce.ts';
import { OddFileError, sayOdd } from '../intake/source.ts';
import type { Picture } from '../line/picture.ts';
import type { ImageRef } from '../shot/model.ts';
import { print } from './print.ts';

export interface DiskPictures {
  readonly pictureOf: (image: ImageRef, longEdgePx: number) => Promise<Picture | undefined>;
  /** Whether a picture could not be read, which was said on standard error. */
  lacks(): boolean;
}

/** One full picture at a time; of one that is damaged it is said which, and the rest goes on. */
export function diskPictures(disk: Pick<DiskShot, 'picture' | 'pathOf'>): DiskPictures {
  const told = new Set<string>();
  return {
    lacks: () => told.size > 0,
    async pictureOf(image, longEdgePx) {
      if (told.has(image.sha256)) return undefined;
      try {
        return reduce(onPaper(await disk.picture(image)), longEdgePx);
      } catch (error) {
        if (!(error instanceof OddFileError)) throw error;
        told.add(image.sha256);
        const { message, todo } = error;
        print(process.stderr, sayOdd({ name: disk.pathOf(image), why: message, todo, taken: false }));
        return undefined;
      }
    },
  };
}
