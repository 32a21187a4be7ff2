/** One side's word on a shot, without losing what only the other has. Pure. */
import { compareLabels } from '../shot/labels.ts';
import type { Drawing, Level, Shot } from '../shot/model.ts';
import { addTake } from '../shot/takes.ts';

/**
 * When the studio's shot comes to the tablet; when ours goes to the studio, the two change places.
 *
 * `theirs` with the takes, drawings and levels that only `ours` has; `theirs` itself when there are none. A take of
 * theirs that we lack comes after ours, and so is the newest; where they have none, ours stays it.
 */
export function withOwn(theirs: Shot, ours: Shot | undefined): Shot {
  if (!ours) return theirs;
  const levels = theirs.levels.map((level) => {
    const own = ours.levels.find(({ name }) => name === level.name);
    return own ? levelWithOwn(level, own) : level;
  });
  const names = new Set(theirs.levels.map(({ name }) => name));
  const added = ours.levels.filter(({ name }) => !names.has(name));
  if (added.length === 0 && levels.every((level, n) => level === theirs.levels[n])) return theirs;
  const sizePx = [0, 1].map((n) => Math.max(theirs.sizePx[n] ?? 0, ours.sizePx[n] ?? 0)) as [number, number];
  return { ...theirs, sizePx, levels: [...levels, ...added] };
}

function levelWithOwn(theirs: Level, ours: Level): Level {
  const drawings = theirs.drawings.map((drawing) => {
    const own = ours.drawings.find(({ label }) => label === drawing.label);
    return own ? drawingWithOwn(drawing, own) : drawing;
  });
  const labels = new Set(theirs.drawings.map(({ label }) => label));
  const added = ours.drawings.filter(({ label }) => !labels.has(label));
  if (added.length === 0 && drawings.every((drawing, n) => drawing === theirs.drawings[n])) return theirs;
  return { ...theirs, drawings: [...drawings, ...added].sort((a, b) => compareLabels(a.label, b.label)) };
}

function drawingWithOwn(theirs: Drawing, ours: Drawing): Drawing {
  const known = new Set(theirs.takes.map(({ image }) => image.sha256));
  const rough = theirs.rough ?? ours.rough;
  const withRough = rough === theirs.rough || !rough ? theirs : { ...theirs, rough };
  if (ours.takes.every(({ image }) => known.has(image.sha256))) return withRough;
  return { ...withRough, takes: theirs.takes.map(({ image }) => image).reduce(addTake, ours).takes };
}
