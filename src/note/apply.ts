/** A shot read from files, after what people said of it. */
import { imagesOf } from '../shot/images-of.ts';
import type { Shot } from '../shot/model.ts';
import type { Entry } from './entry.ts';
import { originEntries } from './origin.ts';
import { shotBodies } from './shot-bodies.ts';
import { shotOf, withoutPictures } from './shot-of.ts';

/**
 * The shot given as what was brought, and `entries` over it. Pictures that entries name and `shot` has not are not in
 * it: nobody could show them. The shot given is not changed.
 */
export function applyEntries(shot: Shot, entries: readonly Entry[]): Shot {
  const { id, sizePx } = shot;
  const whole = shotOf(id, [...originEntries(id, shotBodies(shot)), ...entries]);
  if (!whole) return shot;
  const here = new Set(imagesOf(shot).map(({ sha256 }) => sha256));
  const others = imagesOf(whole).flatMap(({ sha256 }) => (here.has(sha256) ? [] : [sha256]));
  return { ...withoutPictures(whole, new Set(others)), sizePx };
}
