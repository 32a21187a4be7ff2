/** Waiting notes in a file, to be given to someone who has a network: a stick, a message, another tablet. */

import { SentenceError } from '../error/sentence.ts';
import { type NotesRead, readNotesJson, writeNotesJson } from '../note/notes-json.ts';
import type { Shelf } from '../shelf/types.ts';

/** All unsent entries of this tablet, refused ones included: they are safe nowhere else. */
export async function notesFile(shelf: Shelf, savedAt: Date): Promise<File> {
  const entries = await shelf.unsent();
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

/** Takes a file's notes in. They are sent on from here, unless the studio has them already. */
export async function takeNotes(shelf: Shelf, text: string): Promise<NotesRead> {
  const read = readNotesFile(text);
  await shelf.addEntries(read.entries, false);
  return read;
}
