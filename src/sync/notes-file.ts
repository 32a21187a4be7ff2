/** Waiting notes in a file, to be given to someone who has a network: a stick, a message, another tablet. */
import type { Entry } from '../note/entry.ts';
import { parseEntry } from '../note/parse.ts';
import { union } from '../note/union.ts';
import type { Shelf } from '../shelf/types.ts';

const format = 'fairpeg notes';

export interface NotesRead {
  readonly entries: readonly Entry[];
  /** One sentence for each that could not be read; the others are taken. */
  readonly odd: readonly string[];
}

/** All unsent entries of this tablet, refused ones included: they are safe nowhere else. */
export async function notesFile(shelf: Shelf, savedAt: Date): Promise<File> {
  const entries = await shelf.unsent();
  const text = `${JSON.stringify({ format, v: 1, savedAt: savedAt.toISOString(), entries }, undefined, 1)}\n`;
  const name = `notes ${savedAt.toISOString().slice(0, 16).replace(':', '.').replace('T', ' ')}.json`;
  return new File([text], name, { type: 'application/json' });
}

/** Throws one sentence for a file that is none of ours. */
export function readNotesFile(text: string): NotesRead {
  const file = parseJson(text);
  if (file?.format !== format || !Array.isArray(file.entries)) {
    throw new Error(
      'This is no file of notes; nothing was taken from it. Choose one that was saved by “save waiting notes”.',
    );
  }
  const parsed = file.entries.map(parseEntry);
  return {
    entries: union(parsed.flatMap((result) => (result.ok ? [result.entry] : []))),
    odd: parsed.flatMap((result) =>
      result.ok ? [] : [`Entry ${result.id ?? 'without id'}: ${result.reason}.`],
    ),
  };
}

/** Takes a file's notes in. They are sent on from here, unless the studio has them already. */
export async function takeNotes(shelf: Shelf, text: string): Promise<NotesRead> {
  const read = readNotesFile(text);
  await shelf.addEntries(read.entries, false);
  return read;
}

function parseJson(text: string): { format?: unknown; entries?: unknown } | undefined {
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === 'object' && value !== null ? value : undefined;
  } catch {
    return undefined;
  }
}
