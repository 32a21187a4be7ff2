/** What a person sets once for this tablet: hand, light, keys, name. Shared by every screen. */
import { effect, type ReadonlySignal, signal } from '@preact/signals';
import type { Person } from '../note/entry.ts';
import type { Shelf } from '../shelf/types.ts';

export interface Table {
  /** The drawing hand; the exposure sheet stands on the other side. */
  readonly hand: 'right' | 'left';
  readonly light: 'as the tablet' | 'day' | 'dark';
  /** Keys without Ctrl work on the desk. Off for people who speak or whose switch sends keys (WCAG 2.1.4). */
  readonly keys: boolean;
  /** The photosensitivity caution was read. */
  readonly cautionRead: boolean;
  /** What the button on the side of a pen flips to. */
  readonly penButton: 'the last drawing' | 'the other layer';
  /** Somebody came back from paper alone by an edge: it need not be told again. */
  readonly edgeKnown: boolean;
  /** Somebody said who works here, or that the first words were read. */
  readonly whoAsked: boolean;
}

const first: Table = {
  hand: 'right',
  light: 'as the tablet',
  keys: true,
  cautionRead: false,
  penButton: 'the last drawing',
  edgeKnown: false,
  whoAsked: false,
};
const tableSignal = signal<Table>(first);
const personSignal = signal<Person>({ id: '', name: '', role: 'director' });

export const table: ReadonlySignal<Table> = tableSignal;
/** Who edits on this tablet; the name is empty until somebody gives one. */
export const person: ReadonlySignal<Person> = personSignal;

const passSignal = signal(false);
/** The studio's pass says who works here: nobody sets it on the tablet. */
export const heldByPass: ReadonlySignal<boolean> = passSignal;

export function holdByPass(passed: Person): void {
  passSignal.value = true;
  setPerson(passed);
}

let keep: ((key: string, value: unknown) => void) | undefined;

/** Reads what was set, and makes this tablet's person when there is none yet. */
export async function openTable(
  shelf: Shelf,
  newId: () => string,
  failed: (error: unknown) => void,
): Promise<void> {
  keep = (key, value) => void shelf.keepValue(key, value).catch(failed);
  tableSignal.value = { ...first, ...(await shelf.value<Partial<Table>>('table')) };
  const known = await shelf.value<Person>('person');
  if (known) personSignal.value = known;
  else setPerson({ id: newId() });
}

/** Both may be called from an effect, which then does not depend on what it changes. */
export function setTable(change: Partial<Table>): void {
  tableSignal.value = { ...tableSignal.peek(), ...change };
  keep?.('table', tableSignal.peek());
}

export function setPerson(change: Partial<Person>): void {
  personSignal.value = { ...personSignal.peek(), ...change };
  keep?.('person', personSignal.peek());
}

/** Puts hand and light on the page, where `look.css` finds them. */
export function lightThePage(root: HTMLElement): () => void {
  const night = matchMedia('(prefers-color-scheme: dark)');
  const tablet = signal(night.matches);
  const changed = (): void => {
    tablet.value = night.matches;
  };
  night.addEventListener('change', changed);
  const stop = effect(() => {
    const { hand, light } = tableSignal.value;
    root.dataset['hand'] = hand;
    root.dataset['light'] = light === 'dark' || (light === 'as the tablet' && tablet.value) ? 'dark' : 'day';
  });
  return () => {
    stop();
    night.removeEventListener('change', changed);
  };
}
