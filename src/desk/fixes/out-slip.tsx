/** The list handed out: chosen, made here, then shared or saved. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { drawingKey } from '../../shot/drawing-ref.ts';
import { findingsOf } from '../findings.ts';
import { MakeSlip } from '../make-slip.tsx';
import { PaperSelect, paperHere } from '../paper-select.tsx';
import type { Session } from '../session.ts';
import { fixesOf } from './fixes-desk.ts';
import { type Form, makeFile, rowsOn } from './out.ts';

export function OutSlip({ session }: { session: Session }): JSX.Element {
  return (
    <MakeSlip safe="The list is as it was.">
      {(make) => (
        <Choices
          session={session}
          make={(what, form) => make(what, (options) => makeFile(session, form, options))}
        />
      )}
    </MakeSlip>
  );
}

function Choices({
  session,
  make,
}: {
  session: Session;
  make: (what: string, form: Form) => void;
}): JSX.Element {
  const desk = fixesOf(session);
  const shown = desk.shown.value;
  const paper = useSignal(paperHere());
  const noted = new Map(shown.map((row) => [drawingKey(row), row]));
  // By name: the rows may change while this stands open.
  const picked = useSignal('');
  const [key = ''] = noted.has(picked.value) ? [picked.value] : noted.keys();
  const drawing = noted.get(key);
  const fewer = shown.length < desk.rows.value.length;
  return (
    <>
      <p class="hint">
        {shown.length === 1 ? 'The row' : `The ${shown.length} rows`} below, in this order
        {fewer && ', as chosen above'}. A pack holds the whole shot: drawings, notes, findings.
        {findingsOf(session).measured.value !== undefined &&
          ' The drawings are still being measured: what is found after this is not on it.'}
      </p>
      <div class="out-ways choice">
        <span>
          <button type="button" onClick={() => make('the print', { form: 'pdf', paper: paper.value })}>
            Print (PDF)
          </button>
          <PaperSelect paper={paper} />
        </span>
        <button type="button" onClick={() => make('the table', { form: 'csv' })}>
          Table (CSV)
        </button>
        <button type="button" onClick={() => make('the annotations', { form: 'jsonld' })}>
          Annotations (JSON-LD)
        </button>
        <button type="button" onClick={() => make('the pack', { form: 'pack' })}>
          Pack (zip)
        </button>
        {drawing && (
          <span>
            <button
              type="button"
              onClick={() =>
                make(`the picture of ${drawing.drawing}`, {
                  form: 'png',
                  level: drawing.level,
                  drawing: drawing.drawing,
                })
              }
            >
              Picture (PNG)
            </button>
            <select
              aria-label="Drawing"
              value={key}
              onChange={(event) => {
                picked.value = event.currentTarget.value;
              }}
            >
              {[...noted].map(([name, { level, drawing: label }]) => (
                <option key={name} value={name}>
                  {`${level} ${label} (${rowsOn(shown, level, label).length})`.trim()}
                </option>
              ))}
            </select>
          </span>
        )}
      </div>
    </>
  );
}
