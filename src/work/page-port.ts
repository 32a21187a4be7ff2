/** Workers of a page, as the bridge wants them. */
import type { Bridge, Port } from './bridge.ts';
import type { FromWorker } from './messages.ts';

export function pagePort<Ask, Answer>(worker: Worker): Port<Ask, Answer> {
  return {
    send: (message, transfer) => worker.postMessage(message, [...transfer]),
    onMessage: (listener) =>
      worker.addEventListener('message', (event: MessageEvent<FromWorker<Answer>>) => listener(event.data)),
    onFailure: (listener) =>
      worker.addEventListener('error', (event) => {
        event.preventDefault();
        listener(event.message);
      }),
    end: () => worker.terminate(),
  };
}

/**
 * For workers that read the shelf: a page that is put away (HTML, back/forward cache) would freeze them with their
 * transactions, so they end until it is shown again.
 */
export function restingPutAway<Ask, Answer>(bridge: Bridge<Ask, Answer>): Bridge<Ask, Answer> {
  const stop = new AbortController();
  const { signal } = stop;
  globalThis.addEventListener?.('pagehide', ({ persisted }) => persisted && bridge.rest(), { signal });
  globalThis.addEventListener?.('pageshow', ({ persisted }) => persisted && bridge.wake(), { signal });
  return {
    ...bridge,
    close() {
      stop.abort();
      bridge.close();
    },
  };
}
