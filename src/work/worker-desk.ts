/** Where a page's worker answers (`answer.ts`). */
import type { FromWorker, ToWorker } from './messages.ts';

interface Scope {
  addEventListener(type: 'message', listener: (event: { readonly data: unknown }) => void): void;
  postMessage(message: unknown, transfer: ArrayBuffer[]): void;
}

export const workerDesk = <Ask, Answer>(scope = globalThis as unknown as Scope) => ({
  listen: (listener: (message: ToWorker<Ask>) => void): void =>
    scope.addEventListener('message', ({ data }) => listener(data as ToWorker<Ask>)),
  send: (message: FromWorker<Answer>, transfer: readonly ArrayBuffer[]): void =>
    scope.postMessage(message, [...transfer]),
});
