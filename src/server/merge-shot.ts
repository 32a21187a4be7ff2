/** What a folder shows now, laid over what the server knew of it. */
import { guessExposures } from '../shot/exposures.ts';
import { compareLabels } from '../shot/labels.ts';
import type { Drawing, Level, Shot } from '../shot/model.ts';
import { addTake, cleanOf } from '../shot/takes.ts';

/**
 * The known shot with what was read added. Drawings, levels, roughs and takes that have gone from the
 * folder stay, since notes may speak of them. A clean drawing that changed becomes a new take, also when
 * it went back to an earlier picture: the folder's is the one that holds.
 */
export function mergeShot(known: Shot, read: Shot): Shot {
  const readLevels = new Map(read.levels.map((level) => [level.name, level]));
  const gone = known.levels.filter((level) => !readLevels.has(level.name));
  const knownLevels = new Map(known.levels.map((level) => [level.name, level]));
  const levels = read.levels.map((level) => mergeLevel(knownLevels.get(level.name), level));
  const keepFps = read.fpsGuessed && !known.fpsGuessed;
  const { fpsGuessed, ...rest } = read;
  return {
    ...rest,
    id: known.id,
    fps: keepFps ? known.fps : read.fps,
    ...(fpsGuessed && !keepFps && { fpsGuessed }),
    sizePx: [Math.max(known.sizePx[0], read.sizePx[0]), Math.max(known.sizePx[1], read.sizePx[1])],
    levels: [...levels, ...gone],
  };
}

function mergeLevel(known: Level | undefined, read: Level): Level {
  if (!known) return read;
  const knownDrawings = new Map(known.drawings.map((drawing) => [drawing.label, drawing]));
  const readLabels = new Set(read.drawings.map((drawing) => drawing.label));
  const drawings = [
    ...read.drawings.map((drawing) => mergeDrawing(knownDrawings.get(drawing.label), drawing)),
    ...known.drawings.filter((drawing) => !readLabels.has(drawing.label)),
  ].sort((a, b) => compareLabels(a.label, b.label));
  const { exposuresGuessed, ...rest } = read;
  if (!exposuresGuessed) return { ...rest, drawings };
  if (!known.exposuresGuessed) return { ...rest, drawings, exposures: known.exposures };
  const exposures = guessExposures(drawings.map((drawing) => drawing.label));
  return { ...rest, drawings, exposures, exposuresGuessed };
}

function mergeDrawing(known: Drawing | undefined, read: Drawing): Drawing {
  if (!known) return read;
  const withEarlier = read.takes.map((take) => take.image).reduce(addTake, known);
  const newest = cleanOf(read);
  const last = withEarlier.takes.at(-1);
  const takes =
    newest && last && last.image.sha256 !== newest.sha256
      ? [...withEarlier.takes, { number: last.number + 1, image: newest }]
      : withEarlier.takes;
  return { ...known, ...read, takes };
}
