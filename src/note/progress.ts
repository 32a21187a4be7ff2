/** How far a shot is: the state of each drawing, counted by role. */
import { drawingKey } from '../shot/drawing-ref.ts';
import type { Drawing, Role, Shot } from '../shot/model.ts';
import type { DrawingState } from './entry.ts';
import type { Notes } from './merge.ts';

export const drawingStates = ['rough', 'in clean-up', 'clean', 'approved'] as const satisfies DrawingState[];

export interface RoleCount {
  readonly total: number;
  readonly byState: Readonly<Record<DrawingState, number>>;
}

/** `unset` are drawings whose role nobody has said. */
export type Progress = Readonly<Record<Role | 'unset' | 'all', RoleCount>>;

/**
 * What someone said of the drawing, else what its takes say. A take that arrived after the drawing was
 * called rough or in clean-up makes it clean only by a new entry, so that the artist has the last word.
 */
export function drawingState(notes: Notes, level: string, drawing: Drawing): DrawingState {
  const said = notes.drawingStates.get(drawingKey({ level, drawing: drawing.label }))?.state;
  return said ?? (drawing.takes.length > 0 ? 'clean' : 'rough');
}

export function progressOf(shot: Shot, notes: Notes): Progress {
  const counts = { key: empty(), breakdown: empty(), inbetween: empty(), unset: empty(), all: empty() };
  for (const level of shot.levels)
    for (const drawing of level.drawings) {
      const state = drawingState(notes, level.name, drawing);
      for (const count of [counts[drawing.role ?? 'unset'], counts.all]) {
        count.total++;
        count.byState[state]++;
      }
    }
  return counts;
}

function empty(): { total: number; byState: Record<DrawingState, number> } {
  return { total: 0, byState: { rough: 0, 'in clean-up': 0, clean: 0, approved: 0 } };
}
