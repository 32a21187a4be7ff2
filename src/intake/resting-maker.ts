/** A maker of images for one who needs it now and then: its workers hold some 100 MB, and are let go when they rest. */
import type { ImageMaker } from './types.ts';

/** Longer than a network takes to bring the next picture. */
const restMs = 20_000;

/** `start` is asked for a maker when the first image comes, and again after a rest or when it failed. */
export function restingMaker(start: () => Promise<ImageMaker>): Pick<ImageMaker, 'make'> {
  let maker: Promise<ImageMaker> | undefined;
  let busy = 0;
  let resting: ReturnType<typeof setTimeout> | undefined;
  const rest = (): void => {
    void maker?.then((held) => held.close());
    maker = undefined;
  };
  const awake = async (): Promise<ImageMaker> => {
    maker ??= start();
    try {
      return await maker;
    } catch (error) {
      maker = undefined;
      throw error;
    }
  };
  return {
    async make(file, options) {
      clearTimeout(resting);
      busy++;
      try {
        return await (await awake()).make(file, options);
      } finally {
        if (--busy === 0 && maker) resting = setTimeout(rest, restMs);
      }
    },
  };
}
