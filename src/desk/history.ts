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

export function afterUndo({ done, undone }: History): History {
  const last = done.at(-1);
  return last ? { done: done.slice(0, -1), undone: [...undone, last] } : { done, undone };
}

export function afterRedo({ done, undone }: History): History {
  const last = undone.at(-1);
  return last ? { done: [...done, last], undone: undone.slice(0, -1) } : { done, undone };
}
