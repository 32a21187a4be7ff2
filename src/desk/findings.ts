/**
 * What the checks found on the open shot. The room `checks` writes it; the fix list and the retakes read it,
 * without loading the checks.
 */
import { type Signal, signal } from '@preact/signals';
import type { Finding } from '../check/finding.ts';
import type { Session } from './session.ts';

export interface FindingsDesk {
  /** Of the newest takes, dismissed ones included; undefined while nothing was measured on this tablet. */
  readonly found: Signal<readonly Finding[] | undefined>;
  /** 0..1 while drawings are being measured. */
  readonly measured: Signal<number | undefined>;
  /** Begins to measure what was not measured yet; undefined where nobody can. */
  readonly measure: Signal<(() => void) | undefined>;
}

const desks = new WeakMap<Session, FindingsDesk>();

export function findingsOf(session: Session): FindingsDesk {
  const known = desks.get(session);
  if (known) return known;
  const made: FindingsDesk = {
    found: signal(undefined),
    measured: signal(undefined),
    measure: signal(undefined),
  };
  desks.set(session, made);
  return made;
}
