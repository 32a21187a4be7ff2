/** The pencils: they lie at the edge of the table under the drawing hand, the one in use drawn out. */
import type { JSX } from 'preact';
import { noteColours } from '../../export/note-colours.ts';
import type { Session } from '../session.ts';
import { strokesOf } from './draft.ts';
import { notesOf, type Tool } from './notes-desk.ts';

const tools: readonly Tool[] = ['red', 'blue', 'green', 'black', 'rubber'];
const names: Readonly<Record<Tool, string>> = {
  red: 'Red pencil',
  blue: 'Blue pencil',
  green: 'Green pencil',
  black: 'Black pencil',
  rubber: 'Rubber',
};

export function Tray({ session }: { session: Session }): JSX.Element | null {
  const desk = notesOf(session);
  const draft = desk.draft.value;
  if (!draft && session.panel.value !== 'notes') return null;
  return (
    <div class="tray" role="group" aria-label="Pencils">
      {tools.map((tool) => (
        <button
          key={tool}
          type="button"
          class="pencil"
          aria-label={names[tool]}
          title={names[tool]}
          aria-pressed={desk.tool.value === tool}
          onClick={() => {
            desk.tool.value = tool;
          }}
        >
          {tool === 'rubber' ? <Rubber /> : <Pencil colour={noteColours[tool]} />}
        </button>
      ))}
      <button
        type="button"
        class="tray-word"
        aria-pressed={desk.fingers.value}
        title="One finger draws as the pen does; two fingers still move the paper"
        onClick={() => {
          desk.fingers.value = !desk.fingers.peek();
        }}
      >
        Finger draws
      </button>
      {draft && session.panel.value !== 'notes' && (
        <button
          type="button"
          class="tray-word pin-it"
          disabled={strokesOf(draft).length === 0 && draft.text.trim() === ''}
          onClick={desk.pin}
        >
          Pin it
        </button>
      )}
    </div>
  );
}

/** Point to the left; turned round for the left hand by `notes.css`. */
function Pencil({ colour }: { colour: string }): JSX.Element {
  return (
    <svg width="92" height="18" viewBox="0 0 92 18" aria-hidden="true">
      <path class="wood" d="M2 9 24 2v14z" />
      <path d="M2 9 11 6.200v5.600z" fill={colour} />
      <path d="M24 2h68v14H24q3-2.300 0-4.700 3-2.300 0-4.600 3-2.300 0-4.700z" fill={colour} />
      <path class="facet" d="M25 6.700h67M25 11.300h67" />
    </svg>
  );
}

function Rubber(): JSX.Element {
  return (
    <svg width="92" height="18" viewBox="0 0 92 18" aria-hidden="true">
      <path class="rubber-end" d="M10 1.500h28v15H10q-6-7 0-15z" />
      <path class="rubber-band" d="M38 1.500h54v15H38z" />
    </svg>
  );
}
