/** A note's ink alone, small, beside its words; and the pencil sign of its state. */
import type { JSX } from 'preact';
import { noteColours } from '../../export/note-colours.ts';
import type { NoteState, Stroke } from '../../note/entry.ts';
import { strokeOutline } from '../../note/stroke-outline.ts';

const sidePx = 60;

export function Scrawl({ strokes }: { strokes: readonly Stroke[] }): JSX.Element | null {
  const box = boxOf(strokes);
  if (!box) return null;
  const [x, y, width, height] = box;
  // No thinner than can be seen when the whole of a large drawing was circled.
  const leastPx = Math.max(width, height) / 36;
  return (
    <svg
      class="scrawl"
      width={sidePx}
      height={sidePx}
      viewBox={`${x} ${y} ${width} ${height}`}
      aria-hidden="true"
    >
      {strokes.map((stroke, n) => (
        <path
          key={n}
          d={strokeOutline({ ...stroke, widthPx: Math.max(leastPx, stroke.widthPx) })}
          fill={noteColours[stroke.colour]}
        />
      ))}
    </svg>
  );
}

/** Round all ink, with a margin; undefined for none. */
function boxOf(strokes: readonly Stroke[]): [number, number, number, number] | undefined {
  const xs = strokes.flatMap(({ points }) => points.filter((_, n) => n % 3 === 0));
  const ys = strokes.flatMap(({ points }) => points.filter((_, n) => n % 3 === 1));
  if (xs.length === 0) return undefined;
  const least = (values: readonly number[]): number => values.reduce((a, b) => Math.min(a, b));
  const most = (values: readonly number[]): number => values.reduce((a, b) => Math.max(a, b));
  const [x, y] = [least(xs), least(ys)];
  const [width, height] = [most(xs) - x, most(ys) - y];
  const margin = Math.max(4, 0.08 * Math.max(width, height));
  return [x - margin, y - margin, width + 2 * margin, height + 2 * margin];
}

/** Drawn as one marks a list by hand: a ring waits, a stroke through it is fixed, a tick is settled, twice round is back. */
const stateShapes: Readonly<Record<NoteState, string>> = {
  open: 'M15 5C9 1 3 6 4 11s7 7 11 3 2-8-2-9.500',
  fixed: 'M15 5C9 1 3 6 4 11s7 7 11 3 2-8-2-9.500M2 17 18 3',
  approved: 'M3 11c2 2 3 4 4 6C9 10 13 5 18 2',
  reopened: 'M15 5C9 1 3 6 4 11s7 7 11 3 1-8-3-10S2 5 2 11s8 9 13.500 5',
};

export function StateSign({ state }: { state: NoteState }): JSX.Element {
  return (
    <span class="note-state" data-state={state}>
      <svg width="20" height="20" viewBox="0 0 20 20" aria-hidden="true">
        <path d={stateShapes[state]} />
      </svg>
      {state}
    </span>
  );
}
