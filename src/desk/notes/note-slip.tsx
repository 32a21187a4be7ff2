/** One note on the strip: drawing, ink, words, state; opened out it shows what was said since. */
import type { JSX } from 'preact';
import { type Entry, type NoteState, saidMs } from '../../note/entry.ts';
import type { Note } from '../../note/merge.ts';
import { nextStates } from '../../note/note-states.ts';
import { drawingOf } from '../../shot/drawing-ref.ts';
import { Mark } from '../mark.tsx';
import type { Session } from '../session.ts';
import { person } from '../table.ts';
import { holdsWords } from './listing.ts';
import { notesOf } from './notes-desk.ts';
import { Scrawl, StateSign } from './scrawl.tsx';
import { takeWords, whenWords } from './words.ts';

const sayings: Readonly<Record<NoteState, string>> = {
  open: 'Open',
  fixed: 'Fixed',
  approved: 'Approve',
  reopened: 'Reopen',
};

const nameOf = ({ writer }: Entry): string => writer.name || writer.role;

export function NoteSlip({ session, note }: { session: Session; note: Note }): JSX.Element {
  const desk = notesOf(session);
  const { body } = note.pin;
  const open = desk.chosen.value === note.id;
  const drawing = drawingOf(session.shot.value, body);
  const answers = note.replies.filter(({ withdrawn }) => !withdrawn);
  return (
    <li class={open ? 'slip chosen' : 'slip'} data-note={note.id}>
      <button
        type="button"
        class="slip-face"
        aria-expanded={open}
        onClick={() => {
          if (open) desk.chosen.value = undefined;
          else desk.goTo(note);
        }}
      >
        <span class="slip-number">
          <Mark drawing={drawing ?? { label: body.drawing, takes: [] }} size={16} />
          <span class="unseen">Drawing {body.drawing}</span>
        </span>
        <span class="slip-words">
          <span class="slip-text">{note.text || `About ${note.about}`}</span>
          <span class="slip-facts">
            <StateSign state={note.state} />
            {note.text && <span>{note.about}</span>}
            {note.drawings.length > 1 && <span>{holdsWords(desk.order(body.level), note.drawings)}</span>}
            {answers.length > 0 && (
              <span>{answers.length === 1 ? '1 answer' : `${answers.length} answers`}</span>
            )}
            {note.withdrawn && <span>withdrawn</span>}
          </span>
        </span>
        <Scrawl strokes={note.strokes} />
      </button>
      {open && <Opened session={session} note={note} />}
    </li>
  );
}

function Opened({ session, note }: { session: Session; note: Note }): JSX.Element {
  const desk = notesOf(session);
  const { body } = note.pin;
  const mayChange = desk.allowed({ kind: 'withdraw', to: note.id });
  return (
    <div class="slip-open">
      <p class="said-by">
        {nameOf(note.pin)}, {whenWords(saidMs(note.pin))}
        {note.edited && ', changed since'} · {takeWords(session.shot.value, body)}
      </p>
      {note.stateBy && (
        <p class="said-by">
          {note.state}: {nameOf(note.stateBy)}, {whenWords(saidMs(note.stateBy))}
        </p>
      )}
      <ul class="answers">
        {note.replies
          .filter(({ withdrawn }) => !withdrawn)
          .map(({ entry, text }) => (
            <li key={entry.id}>
              <span class="said-by">{nameOf(entry)}</span> {text}
              {desk.allowed({ kind: 'withdraw', to: entry.id }) && (
                <button
                  type="button"
                  class="in-text"
                  onClick={() => desk.withdraw(entry.id, 'Answer withdrawn')}
                >
                  Withdraw
                </button>
              )}
            </li>
          ))}
      </ul>
      {note.withdrawn ? (
        <p class="said-by">Withdrawn; it lies on no drawing any more.</p>
      ) : (
        <>
          <div class="answer">
            <textarea
              aria-label={`Answer the note on ${body.drawing}`}
              placeholder="Answer"
              rows={2}
              maxLength={10_000}
              value={desk.answers.value[note.id] ?? ''}
              onInput={(event) => desk.answerText(note.id, event.currentTarget.value)}
              onKeyDown={(event) => {
                if (event.key === 'Enter' && (event.ctrlKey || event.metaKey)) desk.answer(note);
              }}
            />
            <button
              type="button"
              class="button"
              disabled={!desk.answers.value[note.id]?.trim()}
              onClick={() => desk.answer(note)}
            >
              Answer
            </button>
          </div>
          <p class="slip-ends">
            {nextStates(note, person.value).map((state) => (
              <button key={state} type="button" class="button" onClick={() => desk.setState(note, state)}>
                {sayings[state]}
              </button>
            ))}
            {mayChange && (
              <>
                <button type="button" class="in-text" onClick={() => desk.change(note)}>
                  Change
                </button>
                <button
                  type="button"
                  class="in-text"
                  onClick={() => desk.withdraw(note.id, `Note on ${body.drawing} withdrawn`)}
                >
                  Withdraw
                </button>
              </>
            )}
          </p>
        </>
      )}
    </div>
  );
}
