/** Entries of a shot that a page which went away had said and not kept yet. Another tab may leave some, too. */
import * as v from 'valibot';
import { type Entry, entrySchema } from '../note/entry.ts';
import { inHaste } from './in-haste.ts';

export interface EntriesInHaste {
  /** What cannot be read (an older build wrote it) is left out. */
  read(): readonly Entry[];
  add(entries: readonly Entry[]): void;
  /** The shelf holds these. */
  drop(entries: readonly Entry[]): void;
}

export function entriesInHaste(shotId: string): EntriesInHaste {
  const haste = inHaste(`entries:${shotId}`);
  const read = (): Entry[] => {
    const entries = haste.read()?.['entries'];
    if (!Array.isArray(entries)) return [];
    return entries.flatMap((entry) => {
      const read = v.safeParse(entrySchema, entry);
      return read.success && read.output.shot === shotId ? [read.output] : [];
    });
  };
  const without = (ids: ReadonlySet<string>): Entry[] => read().filter(({ id }) => !ids.has(id));
  const idsOf = (entries: readonly Entry[]): ReadonlySet<string> => new Set(entries.map(({ id }) => id));
  return {
    read,
    add(entries) {
      if (entries.length > 0) haste.put({ v: 1, entries: [...without(idsOf(entries)), ...entries] });
    },
    drop(entries) {
      const left = without(idsOf(entries));
      if (left.length > 0) haste.put({ v: 1, entries: left });
      else haste.drop();
    },
  };
}
