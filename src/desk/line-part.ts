/** Which half of the panel for line stands open: other parts of the desk send a person there. */
import { type Signal, signal } from '@preact/signals';
import { perSession } from './per-session.ts';
import type { Session } from './session.ts';

export type LinePart = 'weight' | 'mend';

export const linePartOf: (session: Session) => Signal<LinePart> = perSession(() =>
  signal<LinePart>('weight'),
);

/** Opens what can be put right on the drawing at hand. */
export function openMending(session: Session): void {
  linePartOf(session).value = 'mend';
  session.panel.value = 'line';
}
