import type { ReadyPlace } from './ready.ts';

/** Drawings of which the same is said, without a place on the paper, are one line. */
export interface PlaceGroup {
  readonly says: string;
  readonly places: readonly ReadyPlace[];
}

export function groupedPlaces(places: readonly ReadyPlace[]): PlaceGroup[] {
  const groups: { says: string; places: ReadyPlace[] }[] = [];
  const bySays = new Map<string, ReadyPlace[]>();
  for (const place of places) {
    const alone = place.bbox !== undefined || place.frame !== undefined || place.note !== undefined;
    const known = alone ? undefined : bySays.get(place.says);
    if (known) {
      known.push(place);
      continue;
    }
    const own = [place];
    groups.push({ says: place.says, places: own });
    if (!alone) bySays.set(place.says, own);
  }
  return groups;
}
