/** Which drawing of a shot is meant, how it is found, and its key in a map. */
import type { Drawing, Level, Shot } from './model.ts';

export interface DrawingRef {
  /** The level's name; empty for the single level of a shot without levels. */
  readonly level: string;
  /** The drawing's label. */
  readonly drawing: string;
}

/** One text a drawing, different for any two. */
export const drawingKey = ({ level, drawing }: DrawingRef): string => JSON.stringify([level, drawing]);

/** The level of exactly that name. There is no other in its place: it may have been renamed or not be here yet. */
export function levelNamed({ levels }: Pick<Shot, 'levels'>, name: string): Level | undefined {
  return levels.find((level) => level.name === name);
}

export function drawingLabelled(level: Level | undefined, label: string): Drawing | undefined {
  return level?.drawings.find((drawing) => drawing.label === label);
}

export function drawingOf(shot: Pick<Shot, 'levels'>, { level, drawing }: DrawingRef): Drawing | undefined {
  return drawingLabelled(levelNamed(shot, level), drawing);
}

/** Every drawing by its key, for whoever looks many of them up. */
export function drawingsByKey({ levels }: Pick<Shot, 'levels'>): Map<string, Drawing> {
  return new Map(
    levels.flatMap((level) =>
      level.drawings.map(
        (drawing) => [drawingKey({ level: level.name, drawing: drawing.label }), drawing] as const,
      ),
    ),
  );
}
