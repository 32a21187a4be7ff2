/** Waiting notes in a file, to be given to someone who has a network: a stick, a message, another tablet. */
import { SentenceError } from '../error/sentence.ts';
import type { Entry } from '../note/entry.ts';
import { type NotesRead, readNotesJson, writeNotesJson } from '../note/notes-json.ts';
import type { Shelf } from '../shelf/types.ts';

/** `entries`: what is to be sent, refused entries included: they are safe nowhere else. */
export function notesFile(entries: readonly Entry[], savedAt: Date): File {
  const text = writeNotesJson(entries, { savedAt: savedAt.toISOString() });
  const name = `notes ${savedAt.toISOString().slice(0, 16).replace(':', '.').replace('T', ' ')}.json`;
  return new File([text], name, { type: 'application/json' });
}

/** Throws one sentence for a file that is none of ours. */
export function readNotesFile(text: string): NotesRead {
  try {
    return readNotesJson(text);
  } catch (error) {
    throw new SentenceError(
      'format',
      'This is no file of notes; nothing was taken from it. Choose one that was saved by “save waiting notes”.',
      { cause: error },
    );
  }
}

/**
 * Takes a file's notes in, to be seen here. A file proves nobody's word, so none is sent on by itself: what it says in
 * this person's name waits until the person says so (`sync.ts`), what it says in another's is theirs to send.
 */
export async function takeNotes(shelf: Shelf, text: string): Promise<NotesRead> {
  const read = readNotesFile(text);
  await shelf.addEntries(read.entries, 'file');
  return read;
}
