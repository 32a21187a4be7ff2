import { createPool, type FromWorker, type Pool, type Port } from './pool.ts';

/** More workers would take from a tablet the cores and the memory that it flips with. */
const MOST_WORKERS = 2;
/** Above this many pixels a drawing takes a worker some 200 MB while it is measured: one at a time, then. */
const LARGE_PX2 = 4e6;

/** How many workers measure: a core stays with the hand. `cores` as the browser tells it. */
export function pageWorkers(cores: number, [width, height]: readonly [number, number]): number {
  return width * height > LARGE_PX2 ? 1 : Math.max(1, Math.min(MOST_WORKERS, cores - 1));
}

/**
 * The pool on a page. Pictures are named by their hash, and read by the worker itself. A page that is put away (HTML,
 * back/forward cache) would freeze its workers with their transactions, so they end until it is shown again.
 */
export function createPagePool(size: number, start: () => Worker): Pool<string> {
  const pool = createPool(size, (): Port<string> => {
    const worker = start();
    return {
      send: (message) => worker.postMessage(message),
      onMessage: (listener) =>
        worker.addEventListener('message', (event: MessageEvent<FromWorker>) => listener(event.data)),
      onFailure: (listener) =>
        worker.addEventListener('error', (event) => {
          event.preventDefault();
          listener(`Measuring stopped: ${event.message || 'the worker could not start'}.`);
        }),
      end: () => worker.terminate(),
    };
  });
  const stop = new AbortController();
  const { signal } = stop;
  globalThis.addEventListener?.('pagehide', ({ persisted }) => persisted && pool.rest(), { signal });
  globalThis.addEventListener?.('pageshow', ({ persisted }) => persisted && pool.wake(), { signal });
  return {
    ...pool,
    close() {
      stop.abort();
      pool.close();
    },
  };
}
