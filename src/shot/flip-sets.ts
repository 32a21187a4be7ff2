/** Which drawings a flip goes through. */
import { labelsInScreenOrder } from './exposures.ts';
import { compareLabels } from './labels.ts';
import type { Level, Role } from './model.ts';

export type FlipSet =
  | { readonly kind: 'keys' }
  | { readonly kind: 'keys and breakdowns' }
  | { readonly kind: 'all' }
  /** Two to five drawings between the fingers, picked by hand. */
  | { readonly kind: 'held'; readonly labels: readonly string[] };

/** As many drawings as fit between the fingers of one hand (common practice, no source). */
export const mostHeld = 5;

const roles: Record<'keys' | 'keys and breakdowns', readonly Role[]> = {
  keys: ['key'],
  'keys and breakdowns': ['key', 'breakdown'],
};

/**
 * Labels in the order they come on screen. `held` is rolled in label order, as on the pegs, keeps only
 * drawings that the level has, and no more than five. A set may be empty (no keys named yet).
 */
export function flipSet(level: Level, set: FlipSet): string[] {
  if (set.kind === 'all') return labelsInScreenOrder(level);
  if (set.kind === 'held') {
    const known = new Set(level.drawings.map((drawing) => drawing.label));
    return [...new Set(set.labels)]
      .filter((label) => known.has(label))
      .sort(compareLabels)
      .slice(0, mostHeld);
  }
  const wanted = new Set(
    level.drawings
      .filter(({ role }) => role && roles[set.kind].includes(role))
      .map((drawing) => drawing.label),
  );
  return labelsInScreenOrder(level).filter((label) => wanted.has(label));
}
