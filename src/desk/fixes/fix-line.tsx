/** One row: a box to tick, and a face that goes to the drawing. */
import type { JSX } from 'preact';
import { type FixRow, wordsOfRow } from '../../note/fix-list.ts';
import { drawingLabelled, levelNamed } from '../../shot/drawing-ref.ts';
import type { FrameLabels } from '../../shot/frame-labels.ts';
import type { Drawing } from '../../shot/model.ts';
import { Mark } from '../mark.tsx';
import { StateSign } from '../notes/scrawl.tsx';
import { whenWords } from '../notes/words.ts';
import { pencilLine, seedOf } from '../pencil.ts';
import { NoteVerdict } from '../retakes/verdict-sign.tsx';
import type { Session } from '../session.ts';
import { fixesOf, type FixLine as Line } from './fixes-desk.ts';
import { PlacePicture } from './place-picture.tsx';
import type { Places } from './places.ts';
import { redrawnOn } from './redrawn.ts';

interface FixLineProps {
  readonly session: Session;
  readonly places: Places;
  readonly line: Line;
}

export function FixLine({ session, places, line: { row, settles } }: FixLineProps): JSX.Element {
  const desk = fixesOf(session);
  const levels = desk.levels.value;
  const level = levelNamed({ levels }, row.level);
  const drawingOf = (label: string): Drawing => drawingLabelled(level, label) ?? { label, takes: [] };
  const several = levels.length > 1;
  const take = row.onRough
    ? 'rough'
    : row.take === undefined
      ? row.image === undefined
        ? 'no take'
        : 'picture gone'
      : `take ${row.take}`;
  return (
    <li class={desk.chosen.value === row.id ? 'fix chosen' : 'fix'} data-row={row.id} data-state={row.state}>
      <Tick session={session} row={row} />
      <span class="fix-number" aria-hidden="true">
        {row.number}
      </span>
      <button type="button" class="fix-face" onClick={() => desk.goTo(row)}>
        <span class="fix-drawing">
          <Mark drawing={drawingOf(row.drawing)} size={27} />
          <span class="unseen">
            {row.number}, drawing {row.drawing},
          </span>
          <span class="fix-small">
            {row.notation.words || 'no role'}
            {several && `, ${row.level}`}, {take}
          </span>
        </span>
        <PlacePicture session={session} places={places} row={row} />
        <span class="fix-words">
          <span class="fix-small">
            {row.about} · {row.place.chart}
            {row.place.words !== row.place.chart && `, ${row.place.words}`}
          </span>
          <span class="fix-text">{wordsOfRow(row)}</span>
          {row.replies.map(({ who, whenMs, text }, n) => (
            <span key={n} class="fix-reply">
              <b>{who || 'Somebody'}</b> {text} <span class="fix-small">{whenWords(whenMs)}</span>
            </span>
          ))}
          <Hanging row={row} settles={settles} drawingOf={drawingOf} />
        </span>
        <Frames at={row.exposedAt} />
        <span class="fix-who">
          {row.source === 'note' ? <StateSign state={row.state} /> : <span>measured</span>}
          <Redrawn session={session} row={row} />
          {row.who && <span>{row.who}</span>}
          {row.whenMs !== undefined && <span class="fix-small">{whenWords(row.whenMs)}</span>}
        </span>
      </button>
    </li>
  );
}

function Redrawn({ session, row }: { session: Session; row: FixRow }): JSX.Element | null {
  const told = redrawnOn(session, row);
  return told ? <NoteVerdict told={told} /> : null;
}

/** Knock-on, and what this fix may settle besides. */
function Hanging({
  row,
  settles,
  drawingOf,
}: {
  row: FixRow;
  settles: readonly number[];
  drawingOf: (label: string) => Drawing;
}): JSX.Element | null {
  const others = row.drawings.filter((label) => label !== row.drawing);
  const marks = (labels: readonly string[]): JSX.Element => (
    <span class="fix-marks">
      {labels.map((label) => (
        <span key={label}>
          <Mark drawing={drawingOf(label)} size={14} />
          <span class="unseen">{label}</span>
        </span>
      ))}
    </span>
  );
  if (others.length + row.knockOn.length === 0) return null;
  return (
    <span class="fix-hanging">
      {others.length > 0 && <span>holds for {marks(others)}</span>}
      {row.knockOn.length > 0 && <span>then look again at {marks(row.knockOn)}</span>}
      {settles.length > 0 && <span>may settle no. {settles.join(', ')}</span>}
    </span>
  );
}

/** More exposures than this are counted. */
const mostExposures = 3;

function Frames({ at }: { at: readonly FrameLabels[] }): JSX.Element {
  const more = at.length - mostExposures;
  return (
    <span class="fix-frames">
      {at.length === 0 && <span class="fix-small">not on the sheet</span>}
      {at.slice(0, mostExposures).map(({ frame, feet, timecode }) => (
        <span key={frame} class="fix-at">
          <span>
            <span class="unseen">frame </span>
            <b>{frame}</b>
          </span>
          <span>{feet}</span>
          <span>{timecode}</span>
        </span>
      ))}
      {more > 0 && <span class="fix-small">and {more} more</span>}
    </span>
  );
}

const boxPx = 30;

function Tick({ session, row }: { session: Session; row: FixRow }): JSX.Element {
  const desk = fixesOf(session);
  const seed = seedOf(row.id);
  const side = (x1: number, y1: number, x2: number, y2: number, n: number): string =>
    pencilLine(x1, y1, x2, y2, seed + n, 0.8);
  const box = [
    side(3, 4, 27, 3, 0),
    side(27, 3, 26, 27, 1),
    side(26, 27, 4, 26, 2),
    side(4, 26, 3, 4, 3),
  ].join('');
  const ticked = row.state === 'fixed' || row.state === 'approved';
  const shape = (
    <svg width={boxPx} height={boxPx} viewBox={`0 0 ${boxPx} ${boxPx}`} aria-hidden="true">
      <path d={box} />
      {ticked && <path class="fix-tick" d="M6 15c3 2 4 5 6 8 3-8 8-15 15-20" />}
      {row.state === 'approved' && <path class="fix-tick" d="M3 29.500c8-1.200 16-1 25-.7" />}
    </svg>
  );
  // A finding goes by itself, once the drawing measures right.
  if (row.source === 'finding')
    return (
      <span class="fix-box measured" title="Goes by itself once the drawing measures right">
        {shape}
      </span>
    );
  return (
    <button
      type="button"
      class="fix-box"
      role="checkbox"
      aria-checked={ticked}
      aria-label={`Fixed: no. ${row.number}, drawing ${row.drawing}`}
      onClick={() => desk.tick(row)}
    >
      {shape}
    </button>
  );
}
