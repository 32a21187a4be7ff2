import type { Picture } from '../line/picture.ts';
import type { Request } from './jobs.ts';
import { createPool, type FromWorker, type Pool, type Port } from './pool.ts';

/** Two workers leave a tablet the cores it flips with. */
export const PAGE_WORKERS = 2;

/** The pool on a page. Pixels are transferred, not copied: a picture sent is gone from the page. */
export function createPagePool(size = PAGE_WORKERS): Pool<Picture> {
  return createPool(size, (): Port<Picture> => {
    const worker = new Worker(new URL('./check.worker.ts', import.meta.url), {
      type: 'module',
      name: 'check',
    });
    return {
      send: (message) => worker.postMessage(message, pixelsIn(message.request)),
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
}

function pixelsIn(request: Request<Picture>): ArrayBufferLike[] & Transferable[] {
  if (request.kind !== 'drawing') return [];
  const buffers = [request.clean, request.rough].flatMap((picture) => (picture ? [picture.data.buffer] : []));
  return [...new Set(buffers)] as ArrayBuffer[];
}
