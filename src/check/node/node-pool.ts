import { Worker } from 'node:worker_threads';
import { createPool, type FromWorker, type Pool, type Port } from '../pool.ts';

/**
 * The pool in Node. `entry` is a module that answers messages (see `answer.ts`); TypeScript entries are
 * loaded through tsx's own hook, which a worker does not inherit. Pictures are sent as files' bytes.
 */
export function createNodePool(size: number, entry: URL): Pool<Uint8Array> {
  return createPool(size, (): Port<Uint8Array> => {
    const worker = entry.pathname.endsWith('.ts')
      ? new Worker(
          `import('tsx/esm/api').then(({ register }) => { register(); return import(${JSON.stringify(entry.href)}); });`,
          { eval: true },
        )
      : new Worker(entry);
    return {
      send: (message) => worker.postMessage(message),
      onMessage: (listener) => worker.on('message', (message: FromWorker) => listener(message)),
      onFailure: (listener) => worker.on('error', (error) => listener(`Measuring stopped: ${error.message}`)),
      end: () => void worker.terminate(),
    };
  });
}
