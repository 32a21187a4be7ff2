/** What can be undone and done again. Plain data, so that it survives a reload. Pure. */
import type { Edit } from './edits.ts';

export interface History {
  readonly done: readonly Edit[];
  readonly undone: readonly Edit[];
}

export const noHistory: History = { done: [], undone: [] };

/** Kept with the desk's state; an edit is some hundred bytes. */
const longest = 200;

export function withEdit(history: History, edit: Edit): History {
  return { done: [...history.done, edit].slice(-longest), undone: [] };
}

/** The last edit moves to the undone ones, as it stands after its undoing. */
export function afterUndo({ done, undone }: History, taken: Edit): History {
  return { done: done.slice(0, -1), undone: [...undone, taken] };
}

export function afterRedo({ done, undone }: History, taken: Edit): History {
  return { done: [...done, taken], undone: undone.slice(0, -1) };
}
