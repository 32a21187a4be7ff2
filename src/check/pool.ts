import type { Request, Result } from './jobs.ts';

/** A worker seen from outside, so that the page's and Node's are one to the pool. */
export interface Port<P> {
  send(message: ToWorker<P>): void;
  onMessage(listener: (message: FromWorker) => void): void;
  /** The worker died; what it was doing is done again elsewhere or refused. */
  onFailure(listener: (reason: string) => void): void;
  end(): void;
}

export interface ToWorker<P> {
  readonly id: number;
  readonly request: Request<P>;
}

export type FromWorker =
  | { readonly id: number; readonly result: Result }
  | { readonly id: number; readonly failed: string };

export interface Pool<P> {
  readonly size: number;
  /** Rejects with an Error whose message is a sentence, or with the signal's reason. */
  run(request: Request<P>, signal: AbortSignal): Promise<Result>;
  /** Ends the workers until `wake`: what they were at is done again then, and what is asked meanwhile waits. */
  rest(): void;
  wake(): void;
  close(): void;
}

interface Waiting {
  readonly id: number;
  resolve(result: Result): void;
  reject(reason: unknown): void;
  /** Gives the job up here, to be attempted anew. */
  putBack(): () => void;
}

interface Worker<P> {
  port: Port<P>;
  waiting: Waiting | undefined;
}

/**
 * Workers that each do one job at a time; a job given while all are busy waits its turn. An aborted job is
 * dropped if it waits, and its answer ignored if it runs: measuring takes a fraction of a second, less than
 * starting a worker anew. A worker that dies is replaced.
 */
export function createPool<P>(size: number, start: () => Port<P>): Pool<P> {
  const workers: Worker<P>[] = [];
  const queue: (() => void)[] = [];
  let lastId = 0;
  let closed = false;
  let resting = false;

  const begin = (): Worker<P> => {
    const worker: Worker<P> = { port: start(), waiting: undefined };
    worker.port.onMessage((message) => {
      const job = worker.waiting;
      if (job?.id !== message.id) return;
      worker.waiting = undefined;
      if ('failed' in message) job.reject(new Error(message.failed));
      else job.resolve(message.result);
      queue.shift()?.();
    });
    worker.port.onFailure((reason) => {
      const job = worker.waiting;
      const at = workers.indexOf(worker);
      if (at >= 0 && !closed) workers[at] = begin();
      job?.reject(new Error(reason));
      queue.shift()?.();
    });
    return worker;
  };

  const free = () => workers.find(({ waiting }) => !waiting) ?? (workers.length < size ? add() : undefined);
  const add = () => {
    const worker = begin();
    workers.push(worker);
    return worker;
  };

  return {
    size,
    run: (request, signal) =>
      new Promise<Result>((resolve, reject) => {
        const attempt = () => {
          if (signal.aborted) {
            reject(signal.reason);
            queue.shift()?.();
            return;
          }
          const worker = resting ? undefined : free();
          if (!worker) {
            queue.push(attempt);
            return;
          }
          lastId++;
          const abort = () => reject(signal.reason);
          signal.addEventListener('abort', abort, { once: true });
          const settled = () => signal.removeEventListener('abort', abort);
          worker.waiting = {
            id: lastId,
            resolve: (result) => {
              settled();
              resolve(result);
            },
            reject: (reason) => {
              settled();
              reject(reason);
            },
            putBack() {
              settled();
              return attempt;
            },
          };
          worker.port.send({ id: lastId, request });
        };
        attempt();
      }),
    rest() {
      resting = true;
      const left = workers.splice(0);
      queue.unshift(...left.flatMap(({ waiting }) => (waiting ? [waiting.putBack()] : [])));
      for (const { port } of left) port.end();
    },
    wake() {
      resting = false;
      for (const attempt of queue.splice(0)) attempt();
    },
    close() {
      closed = true;
      for (const { port } of workers) port.end();
    },
  };
}
