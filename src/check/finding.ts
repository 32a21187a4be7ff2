import { type CellDigests, digestWithin } from '../line/cell-digests.ts';
import type { Box } from '../line/picture.ts';

export type CheckName =
  | 'weight'
  | 'drift'
  | 'volume'
  | 'leaks'
  | 'specks'
  | 'spacing'
  | 'boil'
  | 'wobble'
  | 'registration'
  | 'size'
  | 'missing';

/** A measure beyond its tolerance. */
export interface Finding {
  /** The same fault at the same place has the same key, whatever its amount: dismissals and notes hold on to it. */
  readonly key: string;
  readonly check: CheckName;
  readonly level: string;
  readonly drawing: string;
  /** Image px of the drawing. */
  readonly bbox: Box;
  /** In the check's own unit: share, px or fraction, as its message says. */
  readonly amount: number;
  readonly message: string;
  /** Changes when the line at this place is redrawn: then a dismissal no longer holds. */
  readonly lineDigest: string;
}

/** Which ninth of the paper a box lies in, in words. */
export function placeInWords(bbox: Box, sizePx: readonly [number, number]): string {
  const third = (middle: number, whole: number) => Math.min(2, Math.max(0, Math.floor((3 * middle) / whole)));
  const column = third(bbox[0] + bbox[2] / 2, sizePx[0]);
  const row = third(bbox[1] + bbox[3] / 2, sizePx[1]);
  const words = [
    ['at upper left', 'at the top', 'at upper right'],
    ['at the left', 'in the middle', 'at the right'],
    ['at lower left', 'at the bottom', 'at lower right'],
  ];
  return words[row]![column]!;
}

/** Places on this many columns across the paper share a key. */
const KEY_COLUMNS = 40;

export function findingKey(
  check: CheckName,
  level: string,
  drawing: string,
  bbox: Box,
  sizePx: readonly [number, number],
  kind = '',
): string {
  const cell = sizePx[0] / KEY_COLUMNS;
  const at = [bbox[0] + bbox[2] / 2, bbox[1] + bbox[3] / 2].map((middle) => Math.round(middle / cell));
  return [check, kind, level, drawing, ...at].join('/').slice(0, 100);
}

/** Digest of the line's own pixels at a place: an equal picture there gives an equal digest. */
export function lineDigest(digests: CellDigests | undefined, bbox: Box): string {
  return digests ? digestWithin(digests, bbox) : '';
}
