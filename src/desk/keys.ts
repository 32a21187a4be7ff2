/** Key presses to commands. Keys belong to a field while one is being typed in. */
import { aloneOf, setAlone } from './alone.ts';
import { type Command, commands } from './commands.ts';
import { wholePanelOf } from './extensions.ts';
import type { Session } from './session.ts';
import { table } from './table.ts';

/** The spelling used in `commands.ts`. Digits go by their place, as Shift turns them into signs. */
export function spelling(event: KeyboardEvent): string {
  const digit = /^Digit\d$/.test(event.code);
  const letter = event.key.length === 1 && event.key.toLowerCase() !== event.key.toUpperCase();
  const ctrl = event.ctrlKey || event.metaKey ? 'Ctrl+' : '';
  // A sign such as + or ? holds its own Shift.
  const shift = event.shiftKey && (digit || letter || event.key.length > 1) ? 'Shift+' : '';
  const name = digit ? event.code : ctrl ? event.key.toLowerCase() : event.key;
  return `${ctrl}${shift}${letter && !shift ? name.toLowerCase() : name}`;
}

/** How a key is written for people. */
export function keyWords(key: string): string {
  return key
    .replace(/Digit/, '')
    .replace(
      /Arrow(Left|Right|Up|Down)/,
      (_, way: string) => ({ Left: '←', Right: '→', Up: '↑', Down: '↓' })[way] ?? way,
    )
    .replace(/^ $/, 'Space')
    .replace(/(^|\+)([a-z])$/, (_, before: string, letter: string) => before + letter.toUpperCase())
    .replace(/\+(?=.)/g, ' ');
}

const typing = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  (target.matches('input:not([type=range]):not([type=checkbox]):not([type=radio]), textarea, select') ||
    target.isContentEditable);

/** One that writes something; Space alone begins no word. */
const isLetter = ({ key, ctrlKey, metaKey }: KeyboardEvent): boolean =>
  key.length === 1 && key !== ' ' && !ctrlKey && !metaKey;

/** Controls that arrows or Space already mean something to. */
const ownKeys = (target: EventTarget | null, key: string): boolean => {
  if (!(target instanceof HTMLElement)) return false;
  if (key === ' ' || key === 'Enter') return target.matches('button, a, input, summary, [role=button]');
  return (
    /^(Arrow|Home|End)/.test(key) && target.matches('input[type=range], input[type=radio], [role=slider]')
  );
};

/** Listens until the returned function is called. */
export function listenToKeys(session: Session): () => void {
  const released = new AbortController();
  let held: { readonly code: string; readonly release: (session: Session) => void } | undefined;
  const letGo = (): void => {
    held?.release(session);
    held = undefined;
  };
  addEventListener(
    'keydown',
    (event) => {
      if (event.defaultPrevented || event.altKey) return;
      // A letter straight after a stroke belongs to the note that the stroke began.
      if (
        isLetter(event) &&
        !typing(event.target) &&
        !session.helpOpen.peek() &&
        session.inHand.peek()?.type(event.key)
      ) {
        event.preventDefault();
        return;
      }
      if (event.key === 'Escape') {
        if (closeTopmost(session)) event.preventDefault();
        return;
      }
      if (typing(event.target) || ownKeys(event.target, event.key) || session.helpOpen.peek()) return;
      if (!table.peek().keys && event.key.length === 1 && !event.ctrlKey && !event.metaKey) return;
      const pressed = spelling(event);
      const command = commands.find(({ key }) => key === pressed);
      if (!command || !reaches(command, session)) return;
      event.preventDefault();
      if (command.release) {
        if (held) return;
        held = { code: event.code, release: command.release };
      }
      if (event.repeat && command.on) return;
      if (command.enabled?.(session) !== false) command.run(session);
    },
    { signal: released.signal },
  );
  addEventListener('keyup', (event) => held?.code === event.code && letGo(), { signal: released.signal });
  addEventListener('blur', letGo, { signal: released.signal });
  return () => {
    letGo();
    released.abort();
  };
}

/** Under a panel that covers the desk nothing is flipped or drawn unseen. */
function reaches(command: Command, session: Session): boolean {
  const covering = wholePanelOf(session.panel.peek());
  return !covering || command === covering.command || ['undo', 'redo', 'help'].includes(command.id);
}

/** Esc: stops what runs, else closes what stands open. Returns whether there was anything. */
function closeTopmost(session: Session): boolean {
  if (session.helpOpen.peek()) session.helpOpen.value = false;
  else if (session.model.peek().motion !== 'still') session.halt();
  else if (aloneOf(session).peek()) setAlone(session, false);
  else if (session.strip.peek() !== undefined) session.strip.value = undefined;
  else if (session.panel.peek() !== undefined) session.panel.value = undefined;
  else if (session.notice.peek()) session.notice.value = undefined;
  else return false;
  return true;
}
