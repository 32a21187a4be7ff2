/** Which takes a drawing has: the one place where that is decided. */
import { drawingKey } from '../shot/drawing-ref.ts';
import { groupBy } from '../shot/group-by.ts';
import type { Take } from '../shot/model.ts';
import type { Entry } from './entry.ts';
import { isOrigin } from './origin.ts';
import { type EntryOf, isKind } from './union.ts';

export interface SaidTake extends Take {
  readonly entry: EntryOf<'take'>;
}

/**
 * The takes of each drawing by `drawingKey`, numbered from 1 in the order of entries (`ordered`, as from `inOrder`).
 *
 * A picture that a drawing has already is no new take: whoever takes the same folder in twice, on one tablet or on
 * two, makes no retakes. It stands where somebody first said it, else where the shot brought it. Only a writer who
 * knew it as an earlier take and goes back to it (`again`) makes a take of it once more, unless it is the newest
 * anyway. A picture of equal pixels in other bytes is another picture here: whoever takes files in looks whether
 * their pixels are those of a take there is, and then says nothing (`intake/same-take.ts`).
 */
export function takesOf(
  ordered: readonly Entry[],
  withdrawn: ReadonlySet<string>,
): ReadonlyMap<string, readonly SaidTake[]> {
  const said = ordered.filter(
    (entry): entry is EntryOf<'take'> => isKind(entry, 'take') && !withdrawn.has(entry.id),
  );
  const byDrawing = groupBy(said, ({ body }) => drawingKey(body));
  return new Map([...byDrawing].map(([key, entries]) => [key, takesInOrder(entries)]));
}

function takesInOrder(entries: readonly EntryOf<'take'>[]): SaidTake[] {
  const places = new Map<string, EntryOf<'take'>>();
  for (const entry of entries) {
    const { image, again } = entry.body;
    const known = places.get(image.sha256);
    if (!again && (known === undefined || isOrigin(known))) places.set(image.sha256, entry);
  }
  const takes: SaidTake[] = [];
  for (const entry of entries) {
    const { image, again } = entry.body;
    const isNewest = takes.at(-1)?.image.sha256 === image.sha256;
    if (!isNewest && (again || places.get(image.sha256) === entry))
      takes.push({ number: takes.length + 1, image, entry });
  }
  return takes;
}
