/** One side's word on a shot, without losing what only the other has. Pure. */
import { joined } from '../shot/joined.ts';
import { compareLabels } from '../shot/labels.ts';
import type { Drawing, Level, Shot } from '../shot/model.ts';
import { addTake } from '../shot/takes.ts';

/**
 * `theirs` with the takes, drawings and levels that only `ours` has; `theirs` itself when there are none. A take of
 * theirs that we lack comes after ours, and so is the newest; where they have none, ours stays it. (When ours goes to
 * the studio, the two change places.)
 */
export function withOwn(theirs: Shot, ours: Shot | undefined): Shot {
  if (!ours) return theirs;
  const levels = joined(theirs.levels, ours.levels, ({ name }) => name, levelWithOwn);
  if (levels === theirs.levels) return theirs;
  const sizePx = [
    Math.max(theirs.sizePx[0], ours.sizePx[0]),
    Math.max(theirs.sizePx[1], ours.sizePx[1]),
  ] as const;
  return { ...theirs, sizePx, levels };
}

function levelWithOwn(theirs: Level, ours: Level): Level {
  const drawings = joined(theirs.drawings, ours.drawings, ({ label }) => label, drawingWithOwn);
  if (drawings === theirs.drawings) return theirs;
  return { ...theirs, drawings: [...drawings].sort((a, b) => compareLabels(a.label, b.label)) };
}

function drawingWithOwn(theirs: Drawing, ours: Drawing): Drawing {
  const known = new Set(theirs.takes.map(({ image }) => image.sha256));
  const withRough = theirs.rough || !ours.rough ? theirs : { ...theirs, rough: ours.rough };
  if (ours.takes.every(({ image }) => known.has(image.sha256))) return withRough;
  return { ...withRough, takes: theirs.takes.map(({ image }) => image).reduce(addTake, ours).takes };
}
