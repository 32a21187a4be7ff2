/** Places that are followed through the drawings, as far as people put their dots right by hand. */
import type { Entry } from './entry.ts';
import { inOrder, isKind, withdrawnIds } from './union.ts';

/** Where a followed place lies on one drawing, because a person said so. */
export interface SaidDot {
  /** SHA-256 of the picture it was said on: on another take it says nothing. */
  readonly image: string;
  /** Px of that picture. */
  readonly at: readonly [number, number];
}

export interface SaidPath {
  readonly place: string;
  readonly level: string;
  /** By drawing, each by its last writer. */
  readonly dots: ReadonlyMap<string, SaidDot>;
}

/** In the order in which they were begun; a place whose dots were all taken back is absent. */
export function saidPaths(entries: readonly Entry[]): SaidPath[] {
  const spoken = inOrder(entries.filter((entry) => isKind(entry, 'path dot', 'withdraw')));
  const withdrawn = withdrawnIds(spoken);
  const paths = new Map<string, { level: string; dots: Map<string, SaidDot> }>();
  for (const entry of spoken) {
    if (!isKind(entry, 'path dot') || withdrawn.has(entry.id)) continue;
    const { place, level, drawing, image, at } = entry.body;
    // One place lies on one level: the same id on two is two places.
    const key = JSON.stringify([place, level]);
    const path = paths.get(key) ?? { level, dots: new Map<string, SaidDot>() };
    paths.set(key, path);
    if (at === null) path.dots.delete(drawing);
    else path.dots.set(drawing, { image, at });
  }
  return [...paths].flatMap(([key, { level, dots }]) =>
    dots.size === 0 ? [] : { place: (JSON.parse(key) as [string])[0], level, dots },
  );
}
