/** Work that follows what is wanted now, one job at a time: what nobody wants any more is never begun. */
import { effect, signal } from '@preact/signals';

export type Job = (signal: AbortSignal) => Promise<void>;

/**
 * `next` reads signals and gives the job wanted most, or none; it is asked again whenever those change and whenever a job
 * has ended. A job notes its own failure, so that it is not wanted again at once. Returns what stops it.
 */
export function demand(next: () => Job | undefined): () => void {
  const turn = signal(0);
  const stop = new AbortController();
  let busy = false;
  const ended = (): void => {
    busy = false;
    if (!stop.signal.aborted) turn.value = turn.peek() + 1;
  };
  const end = effect(() => {
    void turn.value;
    const job = next();
    if (!job || busy) return;
    busy = true;
    job(stop.signal).then(ended, ended);
  });
  return () => {
    end();
    stop.abort();
  };
}
