/** What people said of a shot's tolerances: how far a measure may go before it is a finding. */
import type { Entry } from './entry.ts';
import { inOrder, isKind, withdrawnIds } from './union.ts';

/** By name, each by its last writer; those set back to the default are absent. Names of later versions come too. */
export function saidTolerances(entries: readonly Entry[]): ReadonlyMap<string, number> {
  const said = new Map<string, number>();
  const spoken = inOrder(entries.filter((entry) => isKind(entry, 'tolerance', 'withdraw')));
  const withdrawn = withdrawnIds(spoken);
  for (const entry of spoken) {
    if (!isKind(entry, 'tolerance') || withdrawn.has(entry.id)) continue;
    const { name, value } = entry.body;
    if (value === null) said.delete(name);
    else said.set(name, value);
  }
  return said;
}
