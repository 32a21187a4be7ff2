/** The page's hand on the decode workers. */
import type { Request, Response } from './messages.ts';
import { OddFileError } from './source.ts';
import type { ImageMaker, Made } from './types.ts';

interface Job {
  readonly file: ArrayBuffer;
  readonly pixels: boolean;
  readonly signal: AbortSignal | undefined;
  resolve(made: Made): void;
  reject(error: unknown): void;
}

interface Bench {
  worker: Worker;
  job: Job | undefined;
  watch: ReturnType<typeof setTimeout> | undefined;
}

/** Longer than any picture under the size limit takes on a slow tablet; then its worker is given up. */
const longestMs = 60_000;

/** Workers decode beside the page; two fit a tablet's memory with the largest pictures. */
export function createImageMaker({ workers = 2 }: { readonly workers?: number } = {}): ImageMaker {
  const waiting: Job[] = [];
  const benches: Bench[] = [];
  const state = { nextId: 1, closed: false };

  const start = (): Worker =>
    new Worker(new URL('./decode.worker.ts', import.meta.url), { type: 'module', name: 'intake' });

  const free = (bench: Bench) => {
    clearTimeout(bench.watch);
    const { job } = bench;
    bench.job = undefined;
    return job;
  };

  const giveUp = (bench: Bench, error: unknown) => {
    bench.worker.terminate();
    const job = free(bench);
    if (!state.closed) bench.worker = start();
    job?.reject(error);
    next();
  };

  const run = (bench: Bench, job: Job) => {
    const id = state.nextId++;
    bench.job = job;
    const { worker } = bench;
    worker.onmessage = ({ data }: MessageEvent<Response>) => {
      if (data.id !== id) return;
      free(bench);
      if ('made' in data) job.resolve(data.made);
      else job.reject(new OddFileError(data.why, data.todo));
      next();
    };
    worker.onerror = (event) =>
      giveUp(
        bench,
        new OddFileError(
          `the decoder stopped at it${event.message ? ` (${event.message})` : ''}`,
          'Take it in again on its own; if that fails, export it again as PNG.',
        ),
      );
    bench.watch = setTimeout(
      () =>
        giveUp(bench, new OddFileError('it took longer than a minute to decode', 'Export it again as PNG.')),
      longestMs,
    );
    worker.postMessage({ id, file: job.file, pixels: job.pixels } satisfies Request, [job.file]);
  };

  const next = () => {
    if (state.closed || waiting.length === 0) return;
    const bench = benches.find((candidate) => !candidate.job) ?? hire();
    const job = bench && waiting.shift();
    if (!job) return;
    if (job.signal?.aborted) job.reject(job.signal.reason);
    else run(bench, job);
    next();
  };

  const hire = (): Bench | undefined => {
    if (benches.length >= workers) return undefined;
    const bench: Bench = { worker: start(), job: undefined, watch: undefined };
    benches.push(bench);
    return bench;
  };

  return {
    width: workers,
    make(file, { pixels = false, signal } = {}) {
      return new Promise<Made>((resolve, reject) => {
        if (state.closed || signal?.aborted) return reject(signal?.reason ?? new Error('closed'));
        waiting.push({ file, pixels, signal, resolve, reject });
        next();
      });
    },
    close() {
      state.closed = true;
      for (const bench of benches) giveUp(bench, new DOMException('Intake was closed.', 'AbortError'));
      for (const job of waiting.splice(0)) job.reject(new DOMException('Intake was closed.', 'AbortError'));
    },
  };
}
