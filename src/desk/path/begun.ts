/** Whether a place was ever asked for on this visit: until then nothing of this part is fetched. */
import { type Signal, signal } from '@preact/signals';
import { perSession } from '../per-session.ts';
import type { Session } from '../session.ts';

export const pathBegunOf: (session: Session) => Signal<boolean> = perSession(() => signal<boolean>(false));
