/**
 * What the checks found on the open shot. The room `checks` writes it; the fix list and the retakes read it,
 * without loading the checks.
 */
import { type Signal, signal } from '@preact/signals';
import type { FixFinding } from '../note/fix-list.ts';
import type { Shelf } from '../shelf/types.ts';
import type { Session } from './session.ts';

export interface FindingsDesk {
  /** Of the newest takes, dismissed ones included; undefined while nothing was measured on this tablet. */
  readonly found: Signal<readonly FixFinding[] | undefined>;
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

const packKey = (shotId: string): string => `findings of a pack:${shotId}`;

/** Findings that came with a pack stand until this tablet has measured the drawings itself. */
export async function keepPackFindings(
  shelf: Shelf,
  shotId: string,
  findings: readonly FixFinding[],
): Promise<void> {
  await shelf.keepValue(packKey(shotId), findings);
}

/** Undefined when no pack brought any. Some may speak of takes that are no longer the newest. */
export function packFindings(shelf: Shelf, shotId: string): Promise<readonly FixFinding[] | undefined> {
  return shelf.value(packKey(shotId));
}
