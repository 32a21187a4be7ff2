/**
 * What the hand draws with: one short stroke of each pencil, as tried on the margin of a sheet, the one in use with
 * a ring round it. Beside them the note's words and the pin.
 */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { noteColours } from '../../export/note-colours.ts';
import { pencilCircle, seedOf } from '../pencil.ts';
import type { Session } from '../session.ts';
import { putCaret } from './composer.tsx';
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
/** Its name stands under its stroke, for those who see no colour. */
const letters: Readonly<Record<Tool, string>> = {
  red: 'red',
  blue: 'blue',
  green: 'green',
  black: 'black',
  rubber: 'rubber',
};

export const trayIsOut = (session: Session): 'first' | 'else' | undefined =>
  notesOf(session).draft.value ? 'first' : session.panel.value === 'notes' ? 'else' : undefined;

export function Tray({ session }: { session: Session }): JSX.Element {
  const desk = notesOf(session);
  const draft = desk.draft.value;
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
          <Tried tool={tool} chosen={desk.tool.value === tool} />
          <span aria-hidden="true">{letters[tool]}</span>
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
        <>
          <TrayWords session={session} text={draft.text} />
          <button
            type="button"
            class="tray-word pin-it"
            disabled={strokesOf(draft).length === 0 && draft.text.trim() === ''}
            onClick={desk.pin}
          >
            Pin it
          </button>
        </>
      )}
    </div>
  );
}

/** Words without opening a panel: what is typed after a stroke goes here. */
function TrayWords({ session, text }: { session: Session; text: string }): JSX.Element {
  const desk = notesOf(session);
  const field = useRef<HTMLInputElement>(null);
  const asked = desk.writing.value;
  useEffect(() => {
    if (asked) putCaret(field.current);
    desk.writing.value = false;
  }, [asked, desk]);
  return (
    <input
      ref={field}
      class="tray-words"
      type="text"
      aria-label="What is to be done"
      placeholder="in words"
      maxLength={10_000}
      value={text}
      onInput={(event) => desk.write({ text: event.currentTarget.value })}
      onKeyDown={(event) => {
        if (event.key === 'Enter') desk.pin();
        if (event.key === 'Escape') event.currentTarget.blur();
      }}
    />
  );
}

/** A zigzag of the pencil; for the rubber a smear with a clean way through it. */
function Tried({ tool, chosen }: { tool: Tool; chosen: boolean }): JSX.Element {
  return (
    <svg width="40" height="26" viewBox="0 0 40 26" aria-hidden="true">
      {tool === 'rubber' ? (
        <path class="tried-rub" d="M9 18 13 8M14 19 18 8M25 18 29 8M30 18 33 10M8 13h4M29 13h4" />
      ) : (
        <path class="tried" d="M8 17C13 5 15 7 16 12s4 4 6-1 4-2 4 2 4 3 7-3" stroke={noteColours[tool]} />
      )}
      {chosen && <path class="tried-ring" d={pencilCircle(20, 13, 18, 11.5, seedOf(tool))} />}
    </svg>
  );
}
