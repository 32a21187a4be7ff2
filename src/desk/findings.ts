/**
 * What the checks found on the open shot. The room `checks` writes it; the fix list and the retakes read it,
 * without loading the checks.
 */
import { type Signal, signal } from '@preact/signals';
import type { FixFinding } from '../note/fix-list.ts';
import type { Shelf } from '../shelf/types.ts';
import { perSession } from './per-session.ts';

interface FindingsDesk {
  /** Of the newest takes, dismissed ones included; undefined while nothing was measured on this tablet. */
  readonly found: Signal<readonly FixFinding[] | undefined>;
  /** 0 to below 1 while drawings are being measured. */
  readonly measured: Signal<number | undefined>;
}

export const findingsOf = perSession(
  (): FindingsDesk => ({ found: signal(undefined), measured: signal(undefined) }),
);

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
