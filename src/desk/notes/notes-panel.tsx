/** The strip of paper beside the drawing: the note in the works, then everything pinned. Registers the room. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { addCommands } from '../commands.ts';
import { addOverlay, addPanel, panelCommand } from '../extensions.ts';
import type { Session } from '../session.ts';
import { Composer } from './composer.tsx';
import { Filters } from './filters.tsx';
import { NoteSlip } from './note-slip.tsx';
import { notesOf } from './notes-desk.ts';
import { PaperNotes } from './paper-notes.tsx';
import { Tray, trayIsOut } from './tray.tsx';
import './notes.css';

/** Slips laid out at once: of thousands, a tablet would be seconds at it, and six are seen. */
const slipsAtOnce = 100;

function NotesPanel({ session }: { session: Session }): JSX.Element {
  const desk = notesOf(session);
  const draft = desk.draft.value;
  const shown = desk.shown.value;
  const total = desk.notes.value.length;
  const most = useSignal(slipsAtOnce);
  const chosenAt = shown.findIndex(({ id }) => id === desk.chosen.value);
  const laidOut = Math.max(most.value, chosenAt + 1);
  const left = shown.length - laidOut;
  return (
    <div class="notes">
      {draft ? (
        <Composer session={session} draft={draft} />
      ) : (
        <p class="notes-start">
          <button type="button" class="button" onClick={() => writeHere(session)}>
            Write one here
          </button>
          <span class="hint">or draw on the paper</span>
        </p>
      )}
      {desk.refusal.value && <p role="alert">{desk.refusal.value}</p>}
      {total > 0 && <Filters session={session} />}
      {total > 0 && (
        <p class="hint" role="status">
          {shown.length === total ? `${total} on this shot` : `${shown.length} of ${total}`}
        </p>
      )}
      <ol class="slips" aria-label="Notes">
        {shown.slice(0, laidOut).map((note) => (
          <NoteSlip key={note.id} session={session} note={note} />
        ))}
      </ol>
      {left > 0 && (
        <button
          type="button"
          class="button"
          onClick={() => {
            most.value = laidOut + slipsAtOnce;
          }}
        >
          {`Show ${Math.min(slipsAtOnce, left)} more of ${left}`}
        </button>
      )}
    </div>
  );
}

/** Without a pen: a note at the middle of what is seen. */
function writeHere(session: Session): void {
  const desk = notesOf(session);
  const here = session.onPaper.peek();
  if (!here || !desk.beginAt(here, session.stage.peek()?.camera().centre)) return;
  desk.writing.value = true;
  session.panel.value = 'notes';
}

addPanel({
  id: 'notes',
  label: 'Notes',
  command: panelCommand({
    id: 'notes',
    label: 'Notes beside the paper',
    group: 'Notes',
    icon: 'scrawl',
    key: 'Shift+N',
  }),
  Body: NotesPanel,
});
addOverlay({ id: 'notes', where: 'paper', Body: PaperNotes });
addOverlay({ id: 'tray', where: 'line', Body: Tray, wanted: trayIsOut });
addCommands([
  {
    id: 'write note',
    label: 'Do a note on this drawing, in the middle of what is seen',
    group: 'Notes',
    key: 'd',
    gesture: 'draw on the paper with the pen',
    run: writeHere,
  },
  {
    id: 'pin note',
    label: 'Pin the note in the works',
    group: 'Notes',
    key: 'Ctrl+enter',
    run: (session) => notesOf(session).pin(),
    enabled: (session) => notesOf(session).draft.value !== undefined,
  },
  {
    id: 'next note',
    label: 'Go to the next note',
    group: 'Notes',
    key: 'g',
    run: (session) => notesOf(session).step(1),
  },
  {
    id: 'note before',
    label: 'Go to the note before',
    group: 'Notes',
    key: 'Shift+G',
    run: (session) => notesOf(session).step(-1),
  },
  {
    id: 'notes through',
    label: 'See the neighbours’ notes through the paper',
    group: 'Notes',
    key: 's',
    run(session) {
      const { through } = notesOf(session);
      through.value = !through.peek();
    },
    on: (session) => notesOf(session).through.value,
  },
  {
    id: 'finger draws',
    label: 'Finger draws too',
    group: 'Notes',
    key: 'f',
    run(session) {
      const { fingers } = notesOf(session);
      fingers.value = !fingers.peek();
    },
    on: (session) => notesOf(session).fingers.value,
  },
]);
