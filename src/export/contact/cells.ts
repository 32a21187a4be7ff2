/** What a contact sheet shows of each drawing, in exposure order. Pure. */
import { drawingLabelled } from '../../shot/drawing-ref.ts';
import { exposuresOf, labelsInScreenOrder } from '../../shot/exposures.ts';
import type { Drawing, ImageRef, Level, Shot } from '../../shot/model.ts';
import { type Notation, notationOf } from '../../shot/notation.ts';
import { cleanOf } from '../../shot/takes.ts';

export interface ContactCell {
  readonly level: string;
  readonly label: string;
  readonly notation: Notation;
  /** `frames 1–2, 9`, or that it is not on the sheet. */
  readonly frames: string;
  readonly image: ImageRef | undefined;
  /** The rough stands in for a clean drawing that is not there, or the other way round. */
  readonly instead: 'rough' | 'clean' | undefined;
}

/** Runs of frames that are told one by one; the rest is counted. */
const mostRuns = 3;

/**
 * Every drawing once: level by level, lowest first, each in the order in which its drawings come on screen; those that
 * are not exposed stand at the end of their level.
 */
export function contactCells(shot: Shot, layer: 'clean' | 'rough' = 'clean'): ContactCell[] {
  return shot.levels.flatMap((level) =>
    labelsInScreenOrder(level).flatMap((label) => {
      const drawing = drawingLabelled(level, label);
      return drawing ? [cellOf(level, drawing, layer)] : [];
    }),
  );
}

function cellOf(level: Level, drawing: Drawing, layer: 'clean' | 'rough'): ContactCell {
  const pictures = { clean: cleanOf(drawing), rough: drawing.rough };
  const other = layer === 'clean' ? 'rough' : 'clean';
  return {
    level: level.name,
    label: drawing.label,
    notation: notationOf(drawing),
    frames: framesOf(level, drawing.label),
    image: pictures[layer] ?? pictures[other],
    instead: !pictures[layer] && pictures[other] ? other : undefined,
  };
}

function framesOf(level: Level, label: string): string {
  const runs = exposuresOf(level, label).map(({ frame, length }) =>
    length === 1 ? String(frame) : `${frame}–${frame + length - 1}`,
  );
  if (runs.length === 0) return 'not on the sheet';
  const more = runs.length - mostRuns;
  const told = runs.slice(0, mostRuns).join(', ');
  const one = runs.length === 1 && !told.includes('–');
  return `${one ? 'frame' : 'frames'} ${told}${more > 0 ? ` and ${more} more` : ''}`;
}
