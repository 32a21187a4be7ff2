/** What waits on the drawings of the open shot: what the sheet and the strip mark. */
import { computed, type ReadonlySignal } from '@preact/signals';
import { type Waits, waitsOf } from '../note/waits.ts';
import { findingsHere } from './findings.ts';
import { perSession } from './per-session.ts';

/** By `drawingKey`; a drawing on which nothing waits is absent. */
export const waitsHere = perSession(
  (session): ReadonlySignal<ReadonlyMap<string, Waits>> =>
    computed(() => waitsOf(session.shot.value, session.ledger.notes.value, findingsHere(session).value)),
);
