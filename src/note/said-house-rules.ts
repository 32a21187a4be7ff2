/** The rules of the house for line, as people said them of a shot. */
import type { Entry, HouseRules } from './entry.ts';
import { inOrder, isKind, withdrawnIds } from './union.ts';

/** A house that asks nothing; four levels are what no eye tells apart on a line. */
export const noRules: HouseRules = {
  kind: 'house rules',
  edges: 'either',
  paper: 'either',
  colours: [],
  withinLevels: 4,
};

/** The latest that was not withdrawn; without any, a house that asks nothing. */
export function houseRulesIn(entries: readonly Entry[]): HouseRules {
  const spoken = inOrder(entries.filter((entry) => isKind(entry, 'house rules', 'withdraw')));
  const withdrawn = withdrawnIds(spoken);
  let said = noRules;
  for (const entry of spoken) if (isKind(entry, 'house rules') && !withdrawn.has(entry.id)) said = entry.body;
  return said;
}
