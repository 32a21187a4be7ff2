/** Checks that `sharp` leaves out: it fills up files that are cut short. */

import { endMissing, firstFrameOnly, readHeader } from '../header.ts';
import { readChunks } from '../png.ts';
import type { PictureKind } from '../sniff.ts';

/** What is odd about a whole file. Throws an `OddFileError` for one that is cut short, damaged on its surface, or too large. */
export function checkWholeFile(kind: PictureKind, bytes: Uint8Array): string[] {
  if (kind !== 'png') return readHeader(kind, bytes)?.animated ? [firstFrameOnly] : [];
  const { animated, endless } = readChunks(bytes);
  return [...(animated ? [firstFrameOnly] : []), ...(endless ? [endMissing] : [])];
}
