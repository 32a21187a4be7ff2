import { Worker } from 'node:worker_threads';

/** A thread that runs a module beside this one. It does not keep the process alive. */
export function startThread(entry: URL, workerData?: unknown): Worker {
  // A thread does not inherit tsx's hook.
  const worker = new Worker(
    `import(${JSON.stringify(import.meta.resolve('tsx/esm/api'))}).then(({ register }) => { register(); return import(${JSON.stringify(entry.href)}); });`,
    { eval: true, workerData },
  );
  worker.unref();
  return worker;
}
