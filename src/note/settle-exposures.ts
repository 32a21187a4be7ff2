/** One level's exposure sheet from what is claimed for each of its drawings. */
import type { Exposure } from '../shot/model.ts';
import { type EntryOf, inOrder } from './union.ts';

/**
 * Lays exposures from the strongest claim to the weakest, each on the frames still free; then those of `base` (ascending)
 * whose drawing nobody set. `set` holds one entry a drawing.
 */
export function settleExposures(base: readonly Exposure[], set: readonly EntryOf<'exposure'>[]): Exposure[] {
  const laid: Exposure[] = [];
  const strongestFirst = inOrder(set).toReversed() as EntryOf<'exposure'>[];
  for (const { body } of strongestFirst) {
    for (const exposure of byFrame(body.exposures)) lay(laid, { drawing: body.drawing, ...exposure });
  }
  const spokenFor = new Set(set.map((entry) => entry.body.drawing));
  for (const exposure of base) if (!spokenFor.has(exposure.drawing)) lay(laid, exposure);
  return laid;
}

function byFrame<E extends { frame: number; length: number }>(exposures: readonly E[]): E[] {
  return exposures.toSorted((a, b) => a.frame - b.frame || b.length - a.length);
}

/** Adds the parts of `exposure` that no exposure in `laid` (ascending, not overlapping) covers. */
function lay(laid: Exposure[], exposure: Exposure): void {
  let index = firstEndingAfter(laid, exposure.frame);
  let frame = exposure.frame;
  const end = exposure.frame + exposure.length;
  while (frame < end) {
    const next = laid[index];
    const free = Math.min(end, next?.frame ?? end) - frame;
    if (free > 0) laid.splice(index++, 0, { drawing: exposure.drawing, frame, length: free });
    if (next === undefined) return;
    frame = next.frame + next.length;
    index++;
  }
}

function firstEndingAfter(laid: readonly Exposure[], frame: number): number {
  let low = 0;
  let high = laid.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    const at = laid[middle] as Exposure;
    if (at.frame + at.length > frame) high = middle;
    else low = middle + 1;
  }
  return low;
}
