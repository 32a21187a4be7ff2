/** What a folder shows now, laid over what the server knew of it. */
import { guessExposures } from '../shot/exposures.ts';
import { joined } from '../shot/joined.ts';
import { compareLabels } from '../shot/labels.ts';
import type { Drawing, Level, Shot } from '../shot/model.ts';
import { addTake, cleanOf } from '../shot/takes.ts';

/**
 * The known shot with what was read added. Drawings, levels, roughs and takes that have gone from the
 * folder stay, since notes may speak of them. A clean drawing that changed becomes a new take, also when
 * it went back to an earlier picture: the folder's is the one that holds.
 */
export function mergeShot(known: Shot, read: Shot): Shot {
  const levels = joined(read.levels, known.levels, ({ name }) => name, mergeLevel);
  const keepFps = read.fpsGuessed && !known.fpsGuessed;
  const { fpsGuessed, ...rest } = read;
  return {
    ...rest,
    id: known.id,
    fps: keepFps ? known.fps : read.fps,
    ...(fpsGuessed && !keepFps && { fpsGuessed }),
    sizePx: [Math.max(known.sizePx[0], read.sizePx[0]), Math.max(known.sizePx[1], read.sizePx[1])],
    levels,
  };
}

function mergeLevel(read: Level, known: Level): Level {
  const drawings = [...joined(read.drawings, known.drawings, ({ label }) => label, mergeDrawing)].sort(
    (a, b) => compareLabels(a.label, b.label),
  );
  const { exposuresGuessed, ...rest } = read;
  if (!exposuresGuessed) return { ...rest, drawings };
  if (!known.exposuresGuessed) return { ...rest, drawings, exposures: known.exposures };
  const exposures = guessExposures(drawings.map((drawing) => drawing.label));
  return { ...rest, drawings, exposures, exposuresGuessed };
}

function mergeDrawing(read: Drawing, known: Drawing): Drawing {
  const withEarlier = read.takes.map((take) => take.image).reduce(addTake, known);
  const newest = cleanOf(read);
  const last = withEarlier.takes.at(-1);
  const takes =
    newest && last && last.image.sha256 !== newest.sha256
      ? [...withEarlier.takes, { number: last.number + 1, image: newest }]
      : withEarlier.takes;
  return { ...known, ...read, takes };
}
