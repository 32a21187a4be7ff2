/**
 * Sets of entries: a grow-only set (Shapiro, Preguiça, Baquero & Zawirski 2011), merged by union, read in
 * one total order. Everything here is linear in the number of entries but for sorting.
 */
import { compareStamps } from './clock.ts';
import type { Body, Entry } from './entry.ts';
import { isKnown } from './parse.ts';

/** An entry whose body is of one kind. */
export type EntryOf<K extends Body['kind']> = Entry & { readonly body: Extract<Body, { kind: K }> };

export function isKind<K extends Body['kind']>(entry: Entry, ...kinds: readonly K[]): entry is EntryOf<K> {
  return isKnown(entry) && (kinds as readonly string[]).includes(entry.body.kind);
}

/** The total order everyone agrees on: stamp, then id by code unit. */
export function compareEntries(a: Entry, b: Entry): number {
  return compareStamps(a.stamp, b.stamp) || (a.id < b.id ? -1 : Number(a.id > b.id));
}

/**
 * Every entry once. Two different entries that claim one id (a broken or dishonest writer) are settled by
 * their text, so that all tablets keep the same one.
 */
export function union(...sets: readonly (readonly Entry[])[]): Entry[] {
  const byId = new Map<string, Entry>();
  for (const entry of sets.flat()) {
    const kept = byId.get(entry.id);
    if (kept === undefined || (kept !== entry && JSON.stringify(entry) < JSON.stringify(kept))) {
      byId.set(entry.id, entry);
    }
  }
  return [...byId.values()];
}

/** Known entries, once each, in the order of `compareEntries`. */
export function inOrder(entries: readonly Entry[]): Entry[] {
  return union(entries).filter(isKnown).sort(compareEntries);
}

/**
 * The ids that are withdrawn. Any entry can be, also a withdrawal (which brings back what it withdrew):
 * read from the last to the first, so that each is judged by those after it. `ordered` as from `inOrder`.
 */
export function withdrawnIds(ordered: readonly Entry[]): Set<string> {
  const withdrawn = new Set<string>();
  for (const entry of ordered.toReversed()) {
    if (isKind(entry, 'withdraw') && !withdrawn.has(entry.id)) withdrawn.add(entry.body.to);
  }
  return withdrawn;
}
