/** How much intake takes on, so that an odd file cannot bring a tablet down. */
import { OddFileError } from './source.ts';

/** 8192 × 8192: 256 MB decoded, which a tab on a tablet (about 1.5 GB) still survives twice over. */
export const mostPixels = 8192 * 8192;

/** A 16-bit RGBA picture of 8192 × 4096 that does not compress at all is just as large. */
export const mostFileBytes = 256 * 1024 * 1024;

/** What a zip may unpack to in all: about what a tablet lets a page keep. Refused before anything is inflated. */
export const mostZipBytes = 4e9;

/** A folder picked by mistake (a whole disk) is refused before anything is read. */
export const mostFiles = 20_000;

/** Throws for a picture that is too large to decode, or that has no pixels. */
export function checkSize(width: number, height: number): void {
  if (width < 1 || height < 1)
    throw new OddFileError(`it is ${width} × ${height} px, so there is no picture in it`, 'Export it again.');
  if (width * height > mostPixels)
    throw new OddFileError(
      `it is ${width} × ${height} px, more than the ${(mostPixels / 1e6) | 0} million pixels a tablet can hold`,
      'Export it at a smaller size.',
    );
}

export const cutShort = (): OddFileError =>
  new OddFileError('it ends in the middle of the picture', 'Copy or export it again.');

export const damaged = (cause?: unknown): OddFileError =>
  new OddFileError('it is damaged and cannot be read', 'Copy or export it again.', { cause });
