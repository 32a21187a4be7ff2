/** Entries made of bodies. */
import { tick } from './clock.ts';
import type { Body, Entry, Person, Stamp } from './entry.ts';
import { isOrigin } from './origin.ts';

/** Who says something, and what the platform gives for it. */
export interface Author {
  readonly writer: Person;
  readonly newId: () => string;
  /** As of `Date.now`. */
  readonly nowMs: number;
}

/** What an author says now of a shot, after all that was said of it up to `latest`. */
export function writtenEntries(
  shot: string,
  bodies: readonly Body[],
  { writer, newId, nowMs }: Author,
  latest: Stamp,
): Entry[] {
  let stamp = latest;
  return bodies.map((body) => {
    stamp = tick(stamp, nowMs);
    return { v: 1, id: newId(), shot, writer: { ...writer }, stamp, saidMs: nowMs, body };
  });
}

const drawn: ReadonlySet<string> = new Set(['level', 'levels', 'drawing', 'rough', 'take']);

/**
 * Whether an entry goes to the studio with its shot only, when somebody puts that up: what it is made of has
 * pictures, which must be there first. All else goes by itself.
 */
export function goesWithShot(entry: Entry): boolean {
  return isOrigin(entry) || drawn.has(entry.body.kind);
}
