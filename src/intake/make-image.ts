/** What is made of one decoded file: sizes for flipping, a digest of its pixels. */
import type { Picture } from '../line/picture.ts';
import { type Strange, strangeKind, strangeWords } from '../line/strange.ts';
import { onPaper } from './on-paper.ts';
import { reduce } from './reduce.ts';
import type { Made } from './types.ts';

const thumbEdgePx = 320;
export const flipEdgePx = 2048;

/** A file's pixels and what was odd about it. `picture.data` may be changed by who takes it. */
export interface Decoded {
  readonly picture: Picture;
  readonly mediaType: string;
  readonly told: readonly string[];
}

/** Reduces a decoded picture, and digests its pixels if asked to; `file` is handed through. */
export async function makeImage(
  { picture, mediaType, told }: Decoded,
  file: ArrayBuffer,
  pixels: boolean,
): Promise<Made> {
  const paper = onPaper(picture);
  const reduced = reduce(paper, flipEdgePx);
  // The decoder uses its buffer again; what leaves here must not lie in it.
  const flip = reduced === paper ? { ...paper, data: paper.data.slice() } : reduced;
  const thumb = reduce(flip, thumbEdgePx);
  const { width, height, data } = paper;
  const strange = strangeKind(flip);
  const toldToo = strange ? [...told, tellStrange(strange)] : told;
  const made = { width, height, mediaType, flip, thumb, file, told: toldToo };
  return pixels ? { ...made, pixels: `${width}x${height}:${await sha256Hex(data)}` } : made;
}

/** Said of a picture that is no drawing to measure. */
export const tellStrange = (strange: Strange): string =>
  `${strangeWords[strange]}; it was taken, and is not measured`;

/** Lower-case hex SHA-256. */
export async function sha256Hex(bytes: ArrayBuffer | Uint8Array): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes as Uint8Array<ArrayBuffer>));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
