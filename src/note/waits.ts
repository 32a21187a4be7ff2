/** What waits on each drawing of a shot, for whom: the same counts on the sheet, the strip, the shelf and in Today. */
import { type DrawingRef, drawingKey } from '../shot/drawing-ref.ts';
import type { Drawing, Shot } from '../shot/model.ts';
import type { FixFinding } from './fix-list.ts';
import type { Note, Notes } from './merge.ts';
import { drawingState } from './progress.ts';
import { standingsOf } from './standing.ts';

export interface Waits {
  readonly at: DrawingRef;
  /** Notes that are open or reopened: to be mended. */
  readonly notes: number;
  /** Findings that nobody made a note of or dismissed: to be mended, or judged. */
  readonly findings: number;
  /** Notes said to be fixed: to be looked at. */
  readonly fixed: number;
  /** Number of the newest take, when it is a retake that was not looked at. */
  readonly retake: number | undefined;
}

/** Whether an artist has something to do there. */
export const isToMend = ({ notes, findings }: Waits): boolean => notes + findings > 0;

/** Whether a director has something to look at there. */
export const isToLookAt = ({ fixed, retake }: Waits): boolean => fixed > 0 || retake !== undefined;

const isOpen = ({ state }: Note): boolean => state === 'open' || state === 'reopened';

/** By `drawingKey`; a drawing on which nothing waits is absent. `findings` are those of the newest takes. */
export function waitsOf(
  shot: Shot,
  notes: Notes,
  findings: readonly FixFinding[] = [],
): ReadonlyMap<string, Waits> {
  const onDrawing = new Map<string, Note[]>();
  for (const note of notes.notes) {
    if (note.withdrawn) continue;
    for (const drawing of note.drawings) {
      const key = drawingKey({ level: note.pin.body.level, drawing });
      onDrawing.set(key, [...(onDrawing.get(key) ?? []), note]);
    }
  }
  const found = new Map<string, number>();
  // A drawing that was not cleaned up yet is not one to mend.
  for (const { finding, standing } of standingsOf(notes, findings))
    if (standing === 'open' && finding.check !== 'missing')
      found.set(drawingKey(finding), (found.get(drawingKey(finding)) ?? 0) + 1);
  const waits = new Map<string, Waits>();
  for (const { name, drawings } of shot.levels)
    for (const drawing of drawings) {
      const at = { level: name, drawing: drawing.label };
      const key = drawingKey(at);
      const here = onDrawing.get(key) ?? [];
      const own: Waits = {
        at,
        notes: here.filter(isOpen).length,
        findings: found.get(key) ?? 0,
        fixed: here.filter(({ state }) => state === 'fixed').length,
        retake:
          isLookedAt(drawing, here) || drawingState(notes, name, drawing) === 'approved'
            ? undefined
            : drawing.takes.at(-1)?.number,
      };
      if (isToMend(own) || isToLookAt(own)) waits.set(key, own);
    }
  return waits;
}

/**
 * Whether the newest take needs no look of its own: it is the first, or each note made on an earlier take was approved
 * or reopened since, which nobody says without looking.
 */
function isLookedAt({ label, takes }: Drawing, notes: readonly Note[]): boolean {
  if (takes.length < 2) return true;
  const earlier = new Set(takes.slice(0, -1).map(({ image }) => image.sha256));
  const made = notes.filter(({ on }) => earlier.has(on.get(label) ?? ''));
  return made.length > 0 && made.every(({ state }) => state === 'approved' || state === 'reopened');
}
