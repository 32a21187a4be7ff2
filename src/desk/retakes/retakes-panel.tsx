/** The retakes: two takes under the thumb, the fixed note that is looked at, and what was redrawn of the rest. */
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useMemo, useRef } from 'preact/hooks';
import { saidMs } from '../../note/entry.ts';
import { nextStates } from '../../note/note-states.ts';
import type { Item } from '../../note/retakes/items.ts';
import type { VerdictSummary } from '../../note/retakes/verdict.ts';
import { drawingOf } from '../../shot/drawing-ref.ts';
import { Icon } from '../icons.tsx';
import { Later } from '../later.tsx';
import { Mark } from '../mark.tsx';
import { Scrawl, StateSign } from '../notes/scrawl.tsx';
import { whenWords } from '../notes/words.ts';
import type { Session } from '../session.ts';
import { person } from '../table.ts';
import { type RetakesDesk, retakesOf } from './retakes-desk.ts';
import { TakesInHand } from './takes-in-hand.tsx';
import { NoteVerdict } from './verdict-sign.tsx';
import './retakes.css';

export function RetakesPanel({ session }: { session: Session }): JSX.Element {
  const desk = retakesOf(session);
  useEffect(() => desk.lay(), [desk]);
  const current = desk.current.value;
  const waits = desk.waiting.value.filter(({ note }) => note.id !== current?.note.id);
  return (
    <div class="retakes">
      <TakesInHand session={session} desk={desk} />
      {desk.trouble.value && <p role="alert">{desk.trouble}</p>}
      {current && <Looked session={session} desk={desk} item={current} />}
      <p class="waiting" role="status">
        {waitingWords(waits.length, current !== undefined)}{' '}
        {waits.length > 0 && (
          <button type="button" class="button" onClick={() => desk.goOn()}>
            {current ? 'Next' : 'Go through them'}
          </button>
        )}
      </p>
      <Rest session={session} desk={desk} />
      <Later load={async () => (await import('./checks-since.tsx')).ChecksSince} of={{ session, desk }} />
      <NewerTakes session={session} />
    </div>
  );
}

function waitingWords(count: number, begun: boolean): string {
  if (count === 0) return begun ? 'No other fixed note waits.' : 'No note waits to be looked at as fixed.';
  const more = begun ? ' more' : '';
  return count === 1 ? `1${more} fixed note waits.` : `${count}${more} fixed notes wait.`;
}

/** A director's two words on a fix. */
const words = [
  ['approved', 'Approve', 'tick'],
  ['reopened', 'Reopen', 'scrawl'],
] as const;

/** The note in hand: what was asked, whether its place was redrawn, and the director's word on it. */
function Looked({ session, desk, item }: { session: Session; desk: RetakesDesk; item: Item }): JSX.Element {
  const { note } = item;
  const told = desk.verdictOf(note.id);
  const next = nextStates(note, person.value);
  return (
    <section class="looked" aria-label={`Note on ${item.drawing}`}>
      <p class="looked-text">
        <MarkOf session={session} item={item} />
        <span>{textOf(item)}</span>
        <Scrawl strokes={note.strokes} />
      </p>
      <p class="looked-verdict">
        <NoteVerdict told={told} madeOn={item.madeOn} />
      </p>
      {told && told.of > 1 && told.verdict !== 'looking' && <WhichOnes told={told} />}
      {note.stateBy && (
        <p class="hint">
          {note.state}: {note.stateBy.writer.name || note.stateBy.writer.role},{' '}
          {whenWords(saidMs(note.stateBy))}
        </p>
      )}
      {words.some(([state]) => next.includes(state)) ? (
        <p class="looked-ends">
          {words.map(([state, word, icon]) => (
            <button
              key={state}
              type="button"
              class="button"
              disabled={!next.includes(state)}
              onClick={() => desk.decide(state)}
            >
              <Icon name={icon} /> {word}
            </button>
          ))}
        </p>
      ) : (
        <p class="hint">A director approves or reopens it.</p>
      )}
    </section>
  );
}

/** Of a note that holds for several: which drawings are still to be looked at. */
function WhichOnes({ told: { here, notHere, unknown } }: { told: VerdictSummary }): JSX.Element | null {
  if (here === 0 && unknown.length === 0) return null;
  return (
    <>
      {notHere.length > 0 && <p class="hint">Not redrawn at this place: {notHere.join(', ')}.</p>}
      {unknown.length > 0 && <p class="hint">Not to be told of: {unknown.join(', ')}.</p>}
    </>
  );
}

const textOf = ({ note }: Item): string => note.text || `About ${note.about}`;

function MarkOf({ session, item }: { session: Session; item: Item }): JSX.Element {
  const drawing = drawingOf(session.shot.value, item);
  return (
    <span class="item-number">
      <Mark drawing={drawing ?? { label: item.drawing, takes: [] }} size={16} />
      <span class="unseen">Drawing {item.drawing}</span>
    </span>
  );
}

/** Every note that is not approved, in working order, with its verdict. */
function Rest({ session, desk }: { session: Session; desk: RetakesDesk }): JSX.Element | null {
  const all = useMemo(() => signal(false), []);
  const items = desk.items.value;
  const shown = all.value ? items : items.filter(({ note }) => note.state !== 'approved');
  const settled = items.length - items.filter(({ note }) => note.state !== 'approved').length;
  if (items.length === 0) return <p class="hint">Nobody has pinned a note on this shot yet.</p>;
  return (
    <section class="rest" aria-label="Notes, and what was redrawn">
      <ol>
        {shown.map((item) => (
          <li key={item.note.id}>
            <button
              type="button"
              aria-current={desk.current.value?.note.id === item.note.id ? 'true' : undefined}
              onClick={() => desk.goTo(item)}
            >
              <MarkOf session={session} item={item} />
              <span class="rest-words">
                <span class="rest-text">{textOf(item)}</span>
                <span class="rest-facts">
                  <NoteVerdict told={desk.verdictOf(item.note.id)} madeOn={item.madeOn} />
                  <StateSign state={item.note.state} />
                </span>
              </span>
            </button>
          </li>
        ))}
      </ol>
      {settled > 0 && (
        <button
          type="button"
          class="in-text"
          onClick={() => {
            all.value = !all.value;
          }}
        >
          {all.value ? 'Leave the approved ones out' : `Show the ${settled} approved`}
        </button>
      )}
    </section>
  );
}

/** The way in for newer takes, without going round by the shelf. */
function NewerTakes({ session }: { session: Session }): JSX.Element | null {
  const picker = useRef<HTMLInputElement>(null);
  const take = session.takeIn.value;
  if (!take) return null;
  return (
    <p class="newer-takes">
      <input
        ref={picker}
        type="file"
        multiple
        hidden
        data-pick="takes"
        onChange={({ currentTarget }) => {
          const files = [...(currentTarget.files ?? [])];
          currentTarget.value = '';
          if (files.length > 0) take(files);
        }}
      />
      <button type="button" class="button with-icon" onClick={() => picker.current?.click()}>
        <Icon name="in" />
        Take newer clean-ups in
      </button>
    </p>
  );
}
