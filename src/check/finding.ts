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
  /** Where it is at several places: each, image px, all within `bbox`. */
  readonly spots?: readonly Box[];
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
/** Longest key that an entry may name (`id` in `note/entry.ts`). */
const LONGEST_KEY = 100;

/**
 * What a dismissal or a note holds on to, at most 100 characters. Names too long for that are digested: a cut key
 * would lose its place, and every finding of the drawing would be one.
 */
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
  const key = [check, kind, level, drawing, ...at].join('/');
  return key.length <= LONGEST_KEY ? key : [check, kind, digestOf(`${level}/${drawing}`), ...at].join('/');
}

/** 64 bits of a text as 16 hex digits: FNV-1a, forwards and backwards. */
function digestOf(text: string): string {
  const half = (codes: Iterable<number>) => {
    let hash = 0x811c9dc5;
    for (const code of codes) hash = Math.imul(hash ^ code, 0x01000193);
    return (hash >>> 0).toString(16).padStart(8, '0');
  };
  const codes = Array.from(text, (_, k) => text.charCodeAt(k));
  return half(codes) + half(codes.toReversed());
}

/** Digest of the line's own pixels at a place: an equal picture there gives an equal digest. */
export function lineDigest(digests: CellDigests | undefined, bbox: Box): string {
  return digests ? digestWithin(digests, bbox) : '';
}
