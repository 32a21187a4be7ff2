/** One side's word on a shot, without losing what only the other has. Pure. */
import { guessExposures } from '../shot/exposures.ts';
import { joined } from '../shot/joined.ts';
import { compareLabels } from '../shot/labels.ts';
import type { Drawing, Level, Shot } from '../shot/model.ts';
import { addTake } from '../shot/takes.ts';

/**
 * `theirs` with the takes, drawings and levels that only `ours` has; `theirs` itself when there are none. A take of
 * theirs that we lack comes after ours, and so is the newest; where they have none, ours stays it. (When ours goes to
 * the studio, the two change places.) `base` is what both came from, as far as it is known: title, rate, exposures
 * and roughs that changed since on our side alone stay ours, else they are theirs.
 */
export function withOwn(theirs: Shot, ours: Shot | undefined, base?: Shot): Shot {
  if (!ours) return theirs;
  const joinLevel = (their: Level, our: Level): Level =>
    levelWithOwn(
      their,
      our,
      base?.levels.find(({ name }) => name === their.name),
    );
  const levels = joined(theirs.levels, ours.levels, ({ name }) => name, joinLevel);
  const title = isOurs(theirs, ours, base, ({ title }) => title);
  const rate = isOurs(theirs, ours, base, ({ fps, fpsGuessed }) => [fps, fpsGuessed]);
  if (levels === theirs.levels && !title && !rate) return theirs;
  const sizePx = [
    Math.max(theirs.sizePx[0], ours.sizePx[0]),
    Math.max(theirs.sizePx[1], ours.sizePx[1]),
  ] as const;
  const { fps, fpsGuessed } = rate ? ours : theirs;
  const { fpsGuessed: _, ...rest } = theirs;
  return {
    ...rest,
    title: title ? ours.title : theirs.title,
    fps,
    ...(fpsGuessed && { fpsGuessed }),
    sizePx,
    levels,
  };
}

function levelWithOwn(theirs: Level, ours: Level, base: Level | undefined): Level {
  const joinDrawing = (their: Drawing, our: Drawing): Drawing =>
    drawingWithOwn(
      their,
      our,
      base?.drawings.find(({ label }) => label === their.label),
    );
  const drawings = joined(theirs.drawings, ours.drawings, ({ label }) => label, joinDrawing);
  const sheet = isOurs(theirs, ours, base, ({ exposures, exposuresGuessed }) => [
    exposures,
    exposuresGuessed,
  ]);
  // A guess of ours gives way to what they know, and two guesses to one over all drawings.
  const isOurSheet = sheet && !ours.exposuresGuessed;
  if (drawings === theirs.drawings && !isOurSheet) return theirs;
  const sorted = [...drawings].sort((a, b) => compareLabels(a.label, b.label));
  const { exposuresGuessed, ...rest } = theirs;
  if (isOurSheet) return { ...rest, drawings: sorted, exposures: ours.exposures };
  if (!exposuresGuessed) return { ...rest, drawings: sorted };
  const exposures = guessExposures(sorted.map(({ label }) => label));
  return { ...rest, drawings: sorted, exposures, exposuresGuessed };
}

function drawingWithOwn(theirs: Drawing, ours: Drawing, base: Drawing | undefined): Drawing {
  const known = new Set(theirs.takes.map(({ image }) => image.sha256));
  const rough = isOurs(theirs, ours, base, ({ rough }) => rough?.sha256) || !theirs.rough;
  const withRough = rough && ours.rough ? { ...theirs, rough: ours.rough } : theirs;
  if (ours.takes.every(({ image }) => known.has(image.sha256))) return withRough;
  return { ...withRough, takes: theirs.takes.map(({ image }) => image).reduce(addTake, ours).takes };
}

/** What `part` tells changed on our side, and not on theirs. */
function isOurs<T>(theirs: T, ours: T, base: T | undefined, part: (of: T) => unknown): boolean {
  if (base === undefined) return false;
  const [theirPart, ourPart, basePart] = [theirs, ours, base].map((of) => JSON.stringify(part(of)) ?? '');
  return theirPart === basePart && ourPart !== basePart;
}
