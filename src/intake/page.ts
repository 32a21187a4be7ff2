/** What pages call. Loaded lazily: nothing of it belongs to the first load. */
import type { Picture } from '../line/picture.ts';
import { type IntakeFile, OddFileError } from './source.ts';
import type { ImageMaker } from './types.ts';

export { createImageMaker } from './image-maker.ts';
export { openIntake } from './open.ts';
export { filesFromDirectory, filesFromDrop, filesFromList } from './page-files.ts';
export { planIntake } from './plan.ts';
export { sayOdd } from './source.ts';
export { takeIn } from './take-in.ts';

/** A small picture of a file, for a question; undefined when it cannot be decoded. */
export async function thumbOf(
  file: IntakeFile,
  maker: ImageMaker,
  signal?: AbortSignal,
): Promise<Picture | undefined> {
  try {
    const bytes = await file.bytes(signal);
    return (await maker.make(bytes.buffer, { ...(signal && { signal }) })).thumb;
  } catch (error) {
    if (error instanceof OddFileError) return undefined;
    throw error;
  }
}
