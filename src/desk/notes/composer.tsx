/** The note in the works: what it says, what it is about, the drawings it holds for. Kept as it is typed. */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { Session } from '../session.ts';
import { person } from '../table.ts';
import { WriterName } from '../writer-name.tsx';
import { abouts, type Draft, runOf, strokesOf } from './draft.ts';
import { notesOf } from './notes-desk.ts';
import { Scrawl } from './scrawl.tsx';

export function Composer({ session, draft }: { session: Session; draft: Draft }): JSX.Element {
  const desk = notesOf(session);
  const words = useRef<HTMLTextAreaElement>(null);
  const asked = desk.writing.value;
  useEffect(() => {
    if (asked) putCaret(words.current);
    desk.writing.value = false;
  }, [asked, desk]);
  const strokes = strokesOf(draft);
  // Asked once in a note, the field stays until the note is done with: were it gone when the name is taken, at the
  // touch of *Pin it*, the button would move away from under the finger.
  const askedIn = useRef<string | undefined>(undefined);
  if (person.value.name === '') askedIn.current = draft.id;
  const empty = strokes.length === 0 && draft.text.trim() === '';
  return (
    <section class="composer" aria-label={draft.to ? 'The note being changed' : 'The new note'}>
      <h3>
        {draft.to ? 'Changing the note on' : 'On'} <b>{draft.drawing}</b>
        <span class="hint"> {draft.to ? 'not said yet' : 'not pinned yet'}</span>
      </h3>
      {!desk.kept.value && (
        <p role="alert" class="not-kept">
          <strong>Not saved.</strong> This tablet cannot write just now; leave the desk open.
        </p>
      )}
      <div class="composer-words">
        <Scrawl strokes={strokes} />
        <textarea
          ref={words}
          aria-label="What is to be done"
          placeholder="In words, if the pencil did not say it"
          maxLength={10_000}
          rows={3}
          value={draft.text}
          onInput={(event) => desk.write({ text: event.currentTarget.value })}
          onKeyDown={(event) => {
            if (event.key === 'Enter' && (event.ctrlKey || event.metaKey)) desk.pin();
          }}
        />
      </div>
      <fieldset class="choice">
        <legend>About</legend>
        <div class="choice-row tight">
          {abouts.map((about) => (
            <button
              key={about}
              type="button"
              aria-pressed={draft.about === about}
              onClick={() => desk.write({ about })}
            >
              {about}
            </button>
          ))}
        </div>
      </fieldset>
      <HoldsFor session={session} draft={draft} />
      {askedIn.current === draft.id && <WriterName />}
      <p class="composer-ends">
        <button type="button" class="button first" disabled={empty && !draft.to} onClick={desk.pin}>
          {draft.to ? 'Say it' : 'Pin it'}
        </button>
        <button type="button" class="button" onClick={desk.throwAway}>
          {draft.to ? 'Leave it as it was' : 'Put it away'}
        </button>
      </p>
    </section>
  );
}

/** Behind what is written already. */
export function putCaret(field: HTMLTextAreaElement | HTMLInputElement | null): void {
  if (!field) return;
  field.focus();
  field.setSelectionRange(field.value.length, field.value.length);
}

function HoldsFor({ session, draft }: { session: Session; draft: Draft }): JSX.Element {
  const desk = notesOf(session);
  const order = desk.order(draft.level);
  const alone = draft.drawings.length === 1;
  const from = draft.drawings[0] ?? draft.drawing;
  const to = draft.drawings.at(-1) ?? draft.drawing;
  const hold = (a: string, b: string): void => desk.write({ drawings: runOf(order, draft.drawing, a, b) });
  const next = order[order.indexOf(draft.drawing) + 1] ?? order.at(order.indexOf(draft.drawing) - 1);
  const end = (label: string, value: string, choices: readonly string[], set: (value: string) => void) => (
    <select aria-label={label} value={value} onChange={(event) => set(event.currentTarget.value)}>
      {choices.map((choice) => (
        <option key={choice}>{choice}</option>
      ))}
    </select>
  );
  const here = order.indexOf(draft.drawing);
  return (
    <fieldset class="choice">
      <legend>Is for</legend>
      <div class="choice-row">
        <button type="button" aria-pressed={alone} onClick={() => hold(draft.drawing, draft.drawing)}>
          this drawing
        </button>
        <button
          type="button"
          aria-pressed={!alone}
          disabled={order.length < 2}
          onClick={() => alone && next !== undefined && hold(draft.drawing, next)}
        >
          a run
        </button>
        {!alone && (
          <span class="run">
            {end('first of the run', from, order.slice(0, here + 1), (value) => hold(value, to))} to{' '}
            {end('last of the run', to, order.slice(Math.max(0, here)), (value) => hold(from, value))}
          </span>
        )}
      </div>
    </fieldset>
  );
}
