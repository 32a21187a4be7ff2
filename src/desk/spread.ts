/** From the desk to what the stage shows. Pure. */

import { drawingLabelled, levelNamed } from '../shot/drawing-ref.ts';
import { exposureAt } from '../shot/exposures.ts';
import type { Drawing, ImageRef, Level, Shot } from '../shot/model.ts';
import { cleanOf } from '../shot/takes.ts';
import type { Ghost, Spread } from '../stage/types.ts';
import { act, type DeskModel, flipLabels } from './model.ts';

/** Which drawing a spread belongs to; it goes through the stage and comes back with what is shown. */
export interface Place {
  readonly level: string;
  readonly drawing: string;
  readonly frame: number;
}

export const placeKey = ({ level, drawing, frame }: Place): string => JSON.stringify([level, drawing, frame]);

export function placeOf(key: string): Place {
  const [level, drawing, frame] = JSON.parse(key) as [string, string, number];
  return { level, drawing, frame };
}

/** Before: as a blue pencil. After: as a brown one. The farther, the fainter. */
const beforeTint = [0.1, 0.3, 0.8] as const;
const afterTint = [0.6, 0.3, 0.05] as const;
const neighbourOpacity = [0.4, 0.24, 0.14] as const;
/** A drawing without a clean-up lets its rough show this much, so that the paper is not blank. */
const roughAloneOpacity = 0.35;
const graphite = [0.35, 0.35, 0.35] as const;

function drawingsOnPaper(shot: Shot, model: DeskModel): Drawing[] {
  const levels = model.together ? shot.levels : shot.levels.filter(({ name }) => name === model.level);
  return levels.flatMap((level: Level) => {
    const label = level.name === model.level ? model.drawing : exposureAt(level, model.frame)?.drawing;
    const drawing = label === undefined ? undefined : drawingLabelled(level, label);
    return drawing ? [drawing] : [];
  });
}

function neighbours(level: Level, labels: readonly string[], model: DeskModel): Ghost[] {
  const here = labels.indexOf(model.drawing);
  if (here < 0) return [];
  const at = (offset: number, tint: Ghost['tint']): Ghost[] => {
    const drawing = drawingLabelled(level, labels[here + offset] ?? '');
    const opacity = neighbourOpacity[Math.abs(offset) - 1];
    if (!drawing || opacity === undefined) return [];
    const image = model.way === 'rough' ? drawing.rough : (cleanOf(drawing) ?? drawing.rough);
    return image ? [{ image, tint, opacity }] : [];
  };
  const ghosts: Ghost[] = [];
  for (let n = model.before; n >= 1; n--) ghosts.push(...at(-n, beforeTint));
  for (let n = model.after; n >= 1; n--) ghosts.push(...at(n, afterTint));
  return ghosts;
}

export function spreadOf(shot: Shot, model: DeskModel): Spread {
  const level = levelNamed(shot, model.level);
  const drawings = drawingsOnPaper(shot, model);
  const ghosts = level && model.motion === 'still' ? neighbours(level, flipLabels(shot, model), model) : [];
  const roughAlone =
    model.way === 'clean' && !model.other
      ? drawings.flatMap((drawing) =>
          drawing.rough && !cleanOf(drawing)
            ? [{ image: drawing.rough, tint: graphite, opacity: roughAloneOpacity }]
            : [],
        )
      : [];
  return {
    key: placeKey(model),
    clean: drawings.flatMap((drawing) => cleanOf(drawing) ?? []),
    rough: drawings.flatMap((drawing) => drawing.rough ?? []),
    ghosts: [...roughAlone, ...ghosts],
  };
}

/** What the hand reaches next, nearest and in the direction of travel first. */
export function spreadsAhead(shot: Shot, model: DeskModel, count = 10): Spread[] {
  const spreads: Spread[] = [];
  const seen = new Set([placeKey(model)]);
  for (let n = 1; n <= count && spreads.length < count; n++) {
    const offsets = n % 3 === 0 ? [n * model.direction, -(n / 3) * model.direction] : [n * model.direction];
    for (const by of offsets) {
      const next = act(shot, model, { do: 'step', by });
      if (seen.has(placeKey(next))) continue;
      seen.add(placeKey(next));
      spreads.push(spreadOf(shot, next));
    }
  }
  return spreads;
}

/** Every picture the desk may want, cleans first. */
export function imagesOfShot(shot: Shot): ImageRef[] {
  const drawings = shot.levels.flatMap((level) => level.drawings);
  return [
    ...drawings.flatMap((drawing) => cleanOf(drawing) ?? []),
    ...drawings.flatMap((drawing) => drawing.rough ?? []),
  ];
}
