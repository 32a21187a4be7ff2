/** What new takes say by themselves. */
import { drawingKey, drawingsByKey } from '../shot/drawing-ref.ts';
import type { Drawing, Shot } from '../shot/model.ts';
import { cleanOf } from '../shot/takes.ts';
import type { Body } from './entry.ts';
import type { Notes } from './merge.ts';
import { drawingState } from './progress.ts';

/**
 * Bodies that call each drawing clean that got a newer take between `before` and `after`, unless it was
 * called so already. An approved drawing becomes clean again: what was approved was the take before.
 */
export function arrivedBodies(before: Shot, after: Shot, notes: Notes): Body[] {
  const known = drawingsByKey(before);
  return after.levels.flatMap((level) =>
    level.drawings.flatMap((drawing): Body[] => {
      const was: Drawing = known.get(drawingKey({ level: level.name, drawing: drawing.label })) ?? {
        label: drawing.label,
        takes: [],
      };
      const newest = cleanOf(drawing);
      if (!newest || newest.sha256 === cleanOf(was)?.sha256) return [];
      if (drawingState(notes, level.name, was) === 'clean') return [];
      return [{ kind: 'drawing state', level: level.name, drawing: drawing.label, state: 'clean' }];
    }),
  );
}
