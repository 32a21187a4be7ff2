/** Workers as functions: a job goes in, its answer comes out. Each worker does one job at a time; the others wait. */

import { SentenceError } from '../error/sentence.ts';
import type { FromWorker, ToWorker } from './messages.ts';

/** A worker seen from outside, so that a page's and Node's are one to the bridge. */
export interface Port<Ask, Answer> {
  send(message: ToWorker<Ask>, transfer: readonly ArrayBuffer[]): void;
  onMessage(listener: (message: FromWorker<Answer>) => void): void;
  /** The worker died. `reason` comes from the platform and may be empty. */
  onFailure(listener: (reason: string) => void): void;
  end(): void;
}

export interface AskOptions {
  readonly signal?: AbortSignal | undefined;
  /** Buffers that are handed over: such a job cannot be done a second time. */
  readonly transfer?: readonly ArrayBuffer[];
}

export interface Bridge<Ask, Answer> {
  readonly size: number;
  /** Rejects with an Error whose message is a sentence, or with the signal's reason. */
  ask(ask: Ask, options?: AskOptions): Promise<Answer>;
  /**
   * Workers stop after the step they are at, and what is asked meanwhile waits for `resume`. A worker whose step takes
   * too long is ended; its job is done again from the start.
   */
  pause(): void;
  resume(): void;
  /** Ends the workers until `wake`; what they were at is done again then. */
  rest(): void;
  wake(): void;
  /** Ends the workers for good. Jobs that are not done reject with an AbortError. */
  close(): void;
}

export interface BridgeOptions<Ask, Answer> {
  readonly size: number;
  readonly start: () => Port<Ask, Answer>;
  /** The Error of a job whose worker died, took too long, or says that it failed. */
  readonly failed?: (why: Failure) => Error;
  /** Workers with nothing to do for so long are ended, so that their memory comes back. Left out: never. */
  readonly idleMs?: number;
  /** A job that takes longer is given up together with its worker. Left out: never. */
  readonly longestMs?: number;
}

/** `reason` may be read by people where the worker `said` it; where it `died` they are the platform's words, or none. */
export interface Failure {
  readonly how: 'said' | 'died' | 'took too long';
  readonly reason: string;
}

interface Job<Ask, Answer> {
  readonly id: number;
  readonly ask: Ask;
  readonly transfer: readonly ArrayBuffer[];
  resolve(answer: Answer): void;
  reject(reason: unknown): void;
  /** How often its worker was ended because a pause could not wait for it. */
  cutShort: number;
}

interface Seat<Ask, Answer> {
  readonly port: Port<Ask, Answer>;
  job: Job<Ask, Answer> | undefined;
  watch: ReturnType<typeof setTimeout> | undefined;
  /** The last pause that it was told of, and the last that it has come to; 0: none. */
  told: number;
  stoodAt: number;
}

/** A pause waits so long for a step to end: longer would be felt by a hand that flips. */
export const pauseWithinMs = 100;
/** A job that was cut short so often is left to end by itself: else a hand that flips on and on would never let it. */
const cutShortMost = 2;

export function createBridge<Ask, Answer>({
  size,
  start,
  failed = ({ how, reason }) =>
    new SentenceError(how, how === 'said' ? reason : 'A part of the app that works beside the page stopped.'),
  idleMs,
  longestMs,
}: BridgeOptions<Ask, Answer>): Bridge<Ask, Answer> {
  const waiting: Job<Ask, Answer>[] = [];
  const seats: Seat<Ask, Answer>[] = [];
  let lastId = 0;
  let pauses = 0;
  let paused = false;
  let resting = false;
  let closed = false;
  let pauseTimer: ReturnType<typeof setTimeout> | undefined;
  let idleTimer: ReturnType<typeof setTimeout> | undefined;

  function hire(): Seat<Ask, Answer> {
    const seat: Seat<Ask, Answer> = { port: start(), job: undefined, watch: undefined, told: 0, stoodAt: 0 };
    seats.push(seat);
    seat.port.onMessage((message) => {
      if ('paused' in message) {
        seat.stoodAt = message.paused;
        return;
      }
      const { job } = seat;
      if (job?.id !== message.id) return;
      free(seat);
      if ('failed' in message) job.reject(failed({ how: 'said', reason: message.failed }));
      else job.resolve(message.answer);
      next();
    });
    seat.port.onFailure((reason) => giveUp(seat, { how: 'died', reason }));
    return seat;
  }

  function free(seat: Seat<Ask, Answer>): void {
    clearTimeout(seat.watch);
    seat.job = undefined;
  }

  function dismiss(seat: Seat<Ask, Answer>): Job<Ask, Answer> | undefined {
    const { job } = seat;
    free(seat);
    const at = seats.indexOf(seat);
    if (at >= 0) seats.splice(at, 1);
    seat.port.end();
    return job;
  }

  function giveUp(seat: Seat<Ask, Answer>, why: Failure): void {
    if (!seats.includes(seat)) return;
    dismiss(seat)?.reject(failed(why));
    next();
  }

  function next(): void {
    clearTimeout(idleTimer);
    if (paused || resting || closed) return;
    while (waiting.length > 0) {
      const seat = seats.find(({ job }) => !job) ?? (seats.length < size ? hire() : undefined);
      if (!seat) return;
      const job = waiting.shift() as Job<Ask, Answer>;
      seat.job = job;
      if (longestMs !== undefined)
        seat.watch = setTimeout(() => giveUp(seat, { how: 'took too long', reason: '' }), longestMs);
      seat.port.send({ id: job.id, ask: job.ask }, job.transfer);
    }
    if (idleMs !== undefined && seats.length > 0 && seats.every(({ job }) => !job))
      idleTimer = setTimeout(() => seats.slice().forEach(dismiss), idleMs);
  }

  /** Ends those that did not come to a stop; their jobs are first in the queue again. */
  function cutShort(): void {
    for (const seat of seats.slice()) {
      const { job } = seat;
      if (!job || seat.stoodAt === pauses) continue;
      if (job.transfer.length > 0 || job.cutShort >= cutShortMost) continue;
      job.cutShort++;
      dismiss(seat);
      waiting.unshift(job);
    }
  }

  return {
    size,
    ask: (ask, { signal, transfer = [] } = {}) =>
      new Promise<Answer>((resolve, reject) => {
        if (closed || signal?.aborted) {
          reject(signal?.aborted ? signal.reason : closedError());
          return;
        }
        const stopListening = (): void => signal?.removeEventListener('abort', abort);
        const job: Job<Ask, Answer> = {
          id: ++lastId,
          ask,
          transfer,
          cutShort: 0,
          resolve(answer) {
            stopListening();
            resolve(answer);
          },
          reject(reason) {
            stopListening();
            reject(reason);
          },
        };
        // One that is under way ends by itself, unheard: that takes less time than another worker's start.
        const abort = (): void => {
          const at = waiting.indexOf(job);
          if (at >= 0) waiting.splice(at, 1);
          job.reject(signal?.reason);
        };
        signal?.addEventListener('abort', abort, { once: true });
        waiting.push(job);
        next();
      }),
    pause() {
      if (paused || closed) return;
      paused = true;
      pauses++;
      for (const seat of seats) {
        if (!seat.job) continue;
        seat.told = pauses;
        seat.port.send({ pause: pauses }, []);
      }
      pauseTimer = setTimeout(cutShort, pauseWithinMs);
    },
    resume() {
      if (!paused) return;
      paused = false;
      clearTimeout(pauseTimer);
      for (const seat of seats) if (seat.told === pauses) seat.port.send({ resume: true }, []);
      next();
    },
    rest() {
      resting = true;
      // From the last to the first, so that they wait in the order in which they were begun.
      for (const seat of seats.slice().reverse()) {
        const job = dismiss(seat);
        if (!job) continue;
        if (job.transfer.length > 0) job.reject(failed({ how: 'died', reason: '' }));
        else waiting.unshift(job);
      }
    },
    wake() {
      resting = false;
      next();
    },
    close() {
      closed = true;
      clearTimeout(pauseTimer);
      clearTimeout(idleTimer);
      for (const seat of seats.slice()) dismiss(seat)?.reject(closedError());
      for (const job of waiting.splice(0)) job.reject(closedError());
    },
  };
}

const closedError = (): Error => new DOMException('It was closed.', 'AbortError');
