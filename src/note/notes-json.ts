/** Entries as a file: what waits on a tablet, or lies in a pack beside the drawings. */

import { SentenceError } from '../error/sentence.ts';
import type { Entry } from './entry.ts';
import { parseEntry } from './parse.ts';
import { union } from './union.ts';

const format = 'fairpeg notes';

export interface NotesRead {
  /** Each once. */
  readonly entries: readonly Entry[];
  /** One sentence for each that could not be read; the others are taken. */
  readonly odd: readonly string[];
}

/** `more`: fields of the file besides its entries. */
export function writeNotesJson(
  entries: readonly Entry[],
  more: Readonly<Record<string, unknown>> = {},
): string {
  return `${JSON.stringify({ format, v: 1, ...more, entries }, undefined, 1)}\n`;
}

/** Throws a part of a sentence, such as `it has no list “entries”`, for a text that is no file of entries. */
export function readNotesJson(text: string): NotesRead {
  const file = parseJson(text);
  if (file.format !== undefined && file.format !== format)
    throw new SentenceError('format', 'it is no file of notes');
  if (!Array.isArray(file.entries)) throw new SentenceError('format', 'it has no list “entries”');
  const parsed = file.entries.map(parseEntry);
  return {
    entries: union(parsed.flatMap((result) => (result.ok ? [result.entry] : []))),
    odd: parsed.flatMap((result) =>
      result.ok ? [] : [`Entry ${result.id ?? 'without id'}: ${result.reason}.`],
    ),
  };
}

function parseJson(text: string): { format?: unknown; entries?: unknown } {
  let value: unknown;
  try {
    value = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    throw new SentenceError('format', 'it is not JSON', { cause: error });
  }
  return typeof value === 'object' && value !== null ? value : {};
}
