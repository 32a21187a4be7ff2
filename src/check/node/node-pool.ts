import { Worker } from 'node:worker_threads';
import type { FromWorker } from '../../work/messages.ts';
import type { Result } from '../jobs.ts';
import { createPool, type Pool } from '../pool.ts';

/**
 * The pool in Node. `entry` is a module that answers jobs (`work/answer.ts`); TypeScript entries are
 * loaded through tsx's own hook, which a worker does not inherit, found beside the entry and not in the folder that one
 * stands in. Pictures are sent as files' bytes.
 */
export function createNodePool(size: number, entry: URL): Pool<Uint8Array> {
  return createPool(size, () => {
    const worker = entry.pathname.endsWith('.ts')
      ? new Worker(
          `import(${JSON.stringify(import.meta.resolve('tsx/esm/api'))}).then(({ register }) => { register(); return import(${JSON.stringify(entry.href)}); });`,
          { eval: true },
        )
      : new Worker(entry);
    return {
      send: (message, transfer) => worker.postMessage(message, [...transfer]),
      onMessage: (listener) => worker.on('message', (message: FromWorker<Result>) => listener(message)),
      onFailure: (listener) => worker.on('error', ({ message }) => listener(message)),
      end: () => void worker.terminate(),
    };
  });
}
