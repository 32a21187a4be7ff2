/** The shot's tolerances: what everyone said of them in entries, over the defaults. */
import { computed, type ReadonlySignal } from '@preact/signals';
import { defaultTolerances, type Tolerances } from '../../check/tolerances.ts';
import { saidTolerances } from '../../note/said-tolerances.ts';
import type { Session } from '../session.ts';

export type ToleranceName = keyof Tolerances;

export function tolerancesOf(session: Session): ReadonlySignal<Tolerances> {
  return computed(() => {
    const said = saidTolerances(session.ledger.entries.value);
    const known = Object.entries(defaultTolerances).map(([name, usual]) => [name, said.get(name) ?? usual]);
    return Object.fromEntries(known) as Tolerances;
  });
}

/** One step to undo. `value` undefined: the default. */
export function setTolerance(
  session: Session,
  name: ToleranceName,
  value: number | undefined,
  words: string,
): void {
  const before = saidTolerances(session.ledger.entries.peek()).get(name);
  if (before === value) return;
  session.edit({
    says: words,
    bodies: [{ kind: 'tolerance', name, value: value ?? null }],
    back: [{ kind: 'tolerance', name, value: before ?? null }],
  });
}
