/** What a watched folder has to say of its shot. */
import type { Body } from '../note/entry.ts';
import { shotBodies } from '../note/shot-bodies.ts';
import { drawingOf } from '../shot/drawing-ref.ts';
import type { Drawing, Shot } from '../shot/model.ts';
import { addTake, cleanOf } from '../shot/takes.ts';

/**
 * What the folder shows now and has not said before. `said` is the shot as the folder and nobody else made it, so that
 * a file which did not change takes back nothing that a person said since. What has gone from the folder stays, since
 * notes may speak of it.
 */
export function folderBodies(now: Shot, said: Shot | undefined): Body[] {
  if (!said) return shotBodies(now);
  const levels = now.levels.map((level) => ({
    ...level,
    drawings: level.drawings.map((drawing) =>
      afterSaid(drawing, drawingOf(said, { level: level.name, drawing: drawing.label })),
    ),
  }));
  return shotBodies({ ...now, levels }, said);
}

/**
 * The drawing with the takes that were said, then those that are new. A clean drawing that went back to an earlier
 * picture is a take again: of a folder what lies there now holds.
 */
function afterSaid(now: Drawing, said: Drawing | undefined): Drawing {
  if (!said) return now;
  const { takes } = now.takes.map(({ image }) => image).reduce(addTake, said);
  const [newest, last] = [cleanOf(now), takes.at(-1)];
  if (!newest || !last || newest.sha256 === last.image.sha256) return { ...now, takes };
  return { ...now, takes: [...takes, { number: last.number + 1, image: newest }] };
}
