/** A store that was moved away says so, and is not written again: two that go on apart could not be joined. */

/** The setting under which it stands. */
export const movedKey = 'moved';

/** What the store notes of its move: when, and where to. */
export interface Moved {
  readonly atMs: number;
  readonly to: string;
}

/** Throws one sentence for the note of a store that was moved. */
export function refuseMoved(
  note: string | undefined,
  make: (sentence: string) => Error = (sentence) => new Error(sentence),
): void {
  if (note === undefined) return;
  const { atMs, to } = JSON.parse(note) as Moved;
  throw make(
    `What this studio kept was moved on ${new Date(atMs).toISOString()} to ${to}; it is kept there, and nothing was changed here. Start the server on that.`,
  );
}
