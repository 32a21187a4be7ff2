/**
 * Where on the paper something lies, as people say it over a field chart: lines 1 to 12 from the centre to
 * each edge, north up, east to the right (a 12-field chart laid over the shot's own width and height:
 * common practice, no source).
 */
import type { Box } from '../line/picture.ts';

/** Lines from the centre of a field chart to its edge. */
export const fieldsToEdge = 12;

export interface FieldPlace {
  /** −12 (west edge) … 12 (east edge), a tenth of a field exact. */
  readonly east: number;
  /** −12 (south edge) … 12 (north edge). */
  readonly north: number;
  /** `4E 2.5N`, `centre`. */
  readonly chart: string;
  /** `upper left`, `centre`. */
  readonly words: string;
}

/**
 * The place of a point given in px of a picture of `sizePx`, origin at its top left corner. Points off the
 * paper are held to its edge.
 */
export function fieldPlace(
  [x, y]: readonly [number, number],
  [width, height]: readonly [number, number],
): FieldPlace {
  const east = fields((2 * x) / width - 1);
  const north = fields(1 - (2 * y) / height);
  const parts = [compass(east, 'E', 'W'), compass(north, 'N', 'S')].filter((part) => part !== '');
  return { east, north, chart: parts.join(' ') || 'centre', words: words(east, north) };
}

/** The middle of a box. */
export function middleOf([x, y, width, height]: Box): [number, number] {
  return [x + width / 2, y + height / 2];
}

function fields(share: number): number {
  const held = Math.min(1, Math.max(-1, share));
  return Math.round(held * fieldsToEdge * 10) / 10 || 0;
}

function compass(value: number, positive: string, negative: string): string {
  return value === 0 ? '' : `${Math.abs(value)}${value > 0 ? positive : negative}`;
}

/** The outer thirds have names, the middle ones none: a third of the paper is what a hand points at. */
function words(east: number, north: number): string {
  const third = fieldsToEdge / 3;
  const vertical = north > third ? 'upper' : north < -third ? 'lower' : '';
  const horizontal = east > third ? 'right' : east < -third ? 'left' : '';
  if (vertical === '' && horizontal === '') return 'centre';
  if (vertical === '') return horizontal;
  return horizontal === '' ? `${vertical} middle` : `${vertical} ${horizontal}`;
}
