/** Tells a retake from the same drawing exported again: equal pixels in a file of other bytes. */
import type { Shot, Take } from '../shot/model.ts';
import { type IntakeFile, OddFileError } from './source.ts';
import type { Made, MakeOptions, PlannedShot } from './types.ts';

export interface LabelledTake extends Take {
  readonly label: string;
}

/** For each file that would be a take: the takes that its drawing has already, the newest first. */
export function earlierTakes(
  { levels }: PlannedShot,
  base: Shot | undefined,
): Map<IntakeFile, readonly LabelledTake[]> {
  const earlier = new Map<IntakeFile, readonly LabelledTake[]>();
  for (const level of levels) {
    const known = base?.levels.find(({ name }) => name === level.name)?.drawings ?? [];
    for (const { label, cleans } of level.drawings) {
      const takes = known.find((drawing) => drawing.label === label)?.takes ?? [];
      if (takes.length > 0)
        for (const file of cleans) earlier.set(file, takes.map((take) => ({ ...take, label })).toReversed());
    }
  }
  return earlier;
}

/**
 * Looks among `takes` for the one that shows the same pixels as a file just made with its digest. Decodes
 * kept takes of the same size, each once.
 */
export function sameTakes<File>(
  maker: { make(file: File, options?: MakeOptions): Promise<Pick<Made, 'pixels'>> },
  keeper: { file(sha256: string): Promise<File | undefined> },
  signal?: AbortSignal,
): (
  takes: readonly LabelledTake[],
  made: Pick<Made, 'width' | 'height' | 'pixels'>,
) => Promise<LabelledTake | undefined> {
  const digests = new Map<string, Promise<string | undefined>>();
  const digestOf = async (sha256: string): Promise<string | undefined> => {
    const bytes = await keeper.file(sha256);
    return bytes && (await maker.make(bytes, { pixels: true, ...(signal && { signal }) })).pixels;
  };
  return async (takes, { width, height, pixels }) => {
    for (const take of takes) {
      const { sha256 } = take.image;
      if (take.image.width !== width || take.image.height !== height) continue;
      const digest = digests.get(sha256) ?? digestOf(sha256).catch(passOver);
      digests.set(sha256, digest);
      if ((await digest) === pixels) return take;
    }
    return undefined;
  };
}

/** A kept take that does not decode any more is no reason to refuse a new one. */
function passOver(error: unknown): undefined {
  if (!(error instanceof OddFileError)) throw error;
}
