/** Checks that `sharp` leaves out: it fills up files that are cut short. */

import { readHeader } from '../header.ts';
import { readChunks } from '../png.ts';
import type { PictureKind } from '../sniff.ts';

/** Throws an `OddFileError` for a file that is cut short, damaged on its surface, or too large. */
export function checkWholeFile(kind: PictureKind, bytes: Uint8Array): void {
  if (kind === 'png') readChunks(bytes);
  else readHeader(kind, bytes);
}
