/** The fix list as a sheet of paper on the table: what is to be mended, in the order in which it is done. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useMemo } from 'preact/hooks';
import { countWords } from '../../note/fix-list.ts';
import { findingsOf } from '../findings.ts';
import type { Session } from '../session.ts';
import { SheetHead } from '../sheet-head.tsx';
import { FixFilters } from './fix-filters.tsx';
import { FixLine } from './fix-line.tsx';
import { fixesOf } from './fixes-desk.ts';
import { OutSlip } from './out-slip.tsx';
import { PegHoles } from './peg-holes.tsx';
import { places as placesInView } from './places.ts';
import './fixes.css';
import './fix-paper.css';

export function FixListScreen({ session }: { session: Session }): JSX.Element {
  const desk = fixesOf(session);
  const out = useSignal(false);
  const places = useMemo(placesInView, []);
  useEffect(() => places.close, [places]);
  const rows = desk.rows.value;
  const shown = desk.shown.value;
  const measured = findingsOf(session).measured.value;
  return (
    <div class="fixes">
      <SheetHead session={session} out={out}>
        {rows.length > 0 && <FixFilters session={session} />}
      </SheetHead>
      {out.value && <OutSlip session={session} />}
      {desk.refusal.value && (
        <p role="alert" class="fixes-refusal">
          {desk.refusal.value}
        </p>
      )}
      <section class="fix-paper" aria-labelledby="fix-title">
        <PegHoles />
        <header>
          <h2 id="fix-title">
            Fix list <span class="fix-of">{session.shot.value.title}</span>
          </h2>
          <p role="status">
            {countWords(rows, measured !== undefined)}
            {shown.length < rows.length && ` · ${shown.length} of ${rows.length} shown`}
          </p>
          {measured !== undefined && (
            <p class="fix-measured">The drawings are being measured: {Math.floor(100 * measured)} %</p>
          )}
        </header>
        {rows.length === 0 ? (
          <p class="fixes-empty">
            {measured === undefined
              ? 'Nothing is noted on this shot and nothing was found. Draw on a drawing, or let the checks measure it: what they say comes here by itself, keys first.'
              : 'Nothing is noted on this shot, and nothing was found yet. What the checks find comes here by itself, keys first.'}
          </p>
        ) : shown.length === 0 ? (
          <p class="fixes-empty">No row of this list is of that kind.</p>
        ) : (
          <>
            <div class="fix-heads" aria-hidden="true">
              <span />
              <span>Nr</span>
              <div>
                <span>Drawing</span>
                <span>Place</span>
                <span>What is to be done</span>
                <span>From frame</span>
                <span>State</span>
              </div>
            </div>
            <ol class="fix-lines" aria-label="In working order" onKeyDown={walk}>
              {desk.lines.value.map((line) => (
                <FixLine key={line.row.id} session={session} places={places} line={line} />
              ))}
            </ol>
          </>
        )}
      </section>
    </div>
  );
}

/** Arrows go from row to row, past the tick boxes. */
function walk(event: KeyboardEvent): void {
  const by = event.key === 'ArrowDown' ? 1 : event.key === 'ArrowUp' ? -1 : 0;
  const list = event.currentTarget as HTMLElement;
  const faces = [...list.querySelectorAll<HTMLElement>('.fix-face')];
  const here = faces.findIndex((face) => face.closest('li')?.contains(document.activeElement));
  const next = by === 0 || here < 0 ? undefined : faces[here + by];
  if (!next) return;
  event.preventDefault();
  next.focus();
}
