/** The shot's tolerances: what everyone said of them in entries, over the defaults. */
import { computed, type ReadonlySignal } from '@preact/signals';
import { tolerancesIn } from '../../check/said-shot.ts';
import type { Tolerances } from '../../check/tolerances.ts';
import { saidTolerances } from '../../note/said-tolerances.ts';
import type { Session } from '../session.ts';

export type ToleranceName = keyof Tolerances;

export function tolerancesOf(session: Session): ReadonlySignal<Tolerances> {
  return computed(() => tolerancesIn(session.ledger.entries.value));
}

/** One step to undo, however many. Undefined: the default. */
export function setTolerances(
  session: Session,
  values: readonly (readonly [ToleranceName, number | undefined])[],
  says: string,
): void {
  const said = saidTolerances(session.ledger.entries.peek());
  const changed = values.filter(([name, value]) => said.get(name) !== value);
  if (changed.length === 0) return;
  session.edit({
    says,
    bodies: changed.map(([name, value]) => ({ kind: 'tolerance', name, value: value ?? null })),
    back: changed.map(([name]) => ({ kind: 'tolerance', name, value: said.get(name) ?? null })),
  });
}

/** Why a tolerance cannot be that: one sentence; undefined when it can. */
export function tolerancesRefuse(now: Tolerances, name: ToleranceName, value: number): string | undefined {
  const [least, most] = [
    name === 'leakLeastPx' ? value : now.leakLeastPx,
    name === 'leakPx' ? value : now.leakPx,
  ];
  return name.startsWith('leak') && least > most
    ? 'No gap would be found: the narrowest that counts is wider than the widest.'
    : undefined;
}
