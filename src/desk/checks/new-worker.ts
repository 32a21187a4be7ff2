/** A worker that measures and fills. */
export const newChecksWorker = (): Worker =>
  new Worker(new URL('./checks.worker.ts', import.meta.url), { type: 'module', name: 'checks' });
