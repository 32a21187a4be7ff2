/** The worker's side of a bridge: answers jobs, and stands still between two steps of one when it is told to. */

import { reasonOf } from '../error/sentence.ts';
import type { FromWorker, ToWorker } from './messages.ts';

/** To be awaited between two steps of a job: a pause begins here. */
export type Breathe = () => Promise<void>;

/** Whoever asks, seen from the worker. */
export interface Page<Ask, Answer> {
  listen(listener: (message: ToWorker<Ask>) => void): void;
  send(message: FromWorker<Answer>, transfer: readonly ArrayBuffer[]): void;
}

/**
 * Answers every job with what `work` makes of it. An error becomes the reason that a person may read, never a dead worker.
 * `handedOver`: buffers of an answer that go with it without being copied.
 */
export function answerJobs<Ask, Answer>(
  page: Page<Ask, Answer>,
  work: (ask: Ask, breathe: Breathe) => Promise<Answer> | Answer,
  handedOver: (answer: Answer) => readonly ArrayBuffer[] = () => [],
): void {
  let pause: { readonly turn: number; readonly over: Promise<void>; end(): void } | undefined;
  let turns: (() => Promise<void>) | undefined;

  const breathe = async (): Promise<void> => {
    turns ??= turnsOfTheLoop();
    await turns();
    if (!pause) return;
    page.send({ paused: pause.turn }, []);
    await pause.over;
    // It may have been paused again meanwhile.
    await breathe();
  };

  const answer = async (id: number, ask: Ask): Promise<void> => {
    try {
      const found = await work(ask, breathe);
      page.send({ id, answer: found }, [...new Set(handedOver(found))]);
    } catch (error) {
      page.send({ id, failed: reasonOf(error) }, []);
    }
  };

  page.listen((message) => {
    if ('pause' in message) {
      let end: () => void = () => undefined;
      const over = new Promise<void>((done) => {
        end = done;
      });
      pause = { turn: message.pause, over, end };
    } else if ('resume' in message) {
      pause?.end();
      pause = undefined;
    } else void answer(message.id, message.ask);
  });
}

/** Resolves in a task of its own, after messages that came before. A timer would wait 4 ms. */
function turnsOfTheLoop(): () => Promise<void> {
  const { port1, port2 } = new MessageChannel();
  const waiting: (() => void)[] = [];
  // Node's type of a port leaves this out.
  (port1 as unknown as { onmessage: unknown }).onmessage = () => waiting.shift()?.();
  return () =>
    new Promise((done) => {
      waiting.push(done);
      port2.postMessage(undefined);
    });
}
