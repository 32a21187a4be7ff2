/** Whether the hand rests: nothing flips, runs, pans or draws. Measuring and heavy marks wait for it. */
import { computed, effect, type ReadonlySignal, signal } from '@preact/signals';
import type { Session } from '../session.ts';

export interface HandRest {
  /** For screens: becomes true a moment after the hand has stopped. */
  readonly resting: ReadonlySignal<boolean>;
  rested(): Promise<void>;
  close(): void;
}

/** Two flips of a hand that flips on are not farther apart than this. */
const restMs = 350;

export function handRest(session: Session): HandRest {
  const quiet = signal(true);
  let cancel: (() => void) | undefined;
  let woken: (() => void)[] = [];
  const resting = computed(
    () => quiet.value && !session.working.value && session.model.value.motion === 'still',
  );
  const stops = [
    effect(() => {
      const { drawing, frame, other } = session.model.value;
      // Read, so that a flip, a look at the other layer and a move of the paper each come here.
      void [drawing, frame, other, session.camera.value];
      quiet.value = false;
      cancel?.();
      cancel = session.clock.after(restMs, () => {
        quiet.value = true;
      });
    }),
    effect(() => {
      if (!resting.value) return;
      for (const wake of woken.splice(0)) wake();
    }),
  ];
  return {
    resting,
    rested: () => (resting.peek() ? Promise.resolve() : new Promise<void>((done) => woken.push(done))),
    close() {
      for (const stop of stops) stop();
      cancel?.();
      // Whoever waits finds its own end by its signal.
      for (const wake of woken) wake();
      woken = [];
    },
  };
}
