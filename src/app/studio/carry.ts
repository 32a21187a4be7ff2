/** A shot on its way between studio and tablet: how far it is, stopped, failed; it goes on where it broke off. */
import { type ReadonlySignal, signal } from '@preact/signals';
import { sentenceOf } from '../../error/sentence.ts';
import type { Sync } from '../../sync/sync.ts';

export type CarryState =
  | { readonly at: 'rest' }
  | { readonly at: 'under way'; readonly doneBytes: number; readonly totalBytes: number }
  | { readonly at: 'stopped' }
  | { readonly at: 'failed'; readonly says: string };

export interface Carry {
  readonly state: ReadonlySignal<CarryState>;
  readonly go: () => void;
  readonly stop: () => void;
}

/** They outlive their buttons: leaving the shelf does not stop a download. */
const carries = new WeakMap<Sync, Map<string, Carry>>();

export function carryOf(sync: Sync, shotId: string, way: 'keep' | 'putUp'): Carry {
  const own = carries.get(sync) ?? new Map<string, Carry>();
  carries.set(sync, own);
  const key = `${way} ${shotId}`;
  const known = own.get(key);
  if (known) return known;
  const made = makeCarry((wanted) => sync[way](shotId, wanted));
  own.set(key, made);
  return made;
}

function makeCarry(work: (wanted: Parameters<Sync['keep']>[1]) => Promise<void>): Carry {
  const state = signal<CarryState>({ at: 'rest' });
  let stopping = new AbortController();
  return {
    state,
    go() {
      if (state.peek().at === 'under way') return;
      stopping = new AbortController();
      const { signal: stopped } = stopping;
      state.value = { at: 'under way', doneBytes: 0, totalBytes: 0 };
      const onProgress = ({ doneBytes, totalBytes }: { doneBytes: number; totalBytes: number }): void => {
        if (!stopped.aborted) state.value = { at: 'under way', doneBytes, totalBytes };
      };
      work({ signal: stopped, onProgress }).then(
        // It leaves the list by itself; where it comes back (taken off the shelf since), it may go again.
        () => {
          state.value = { at: 'rest' };
        },
        (error: unknown) => {
          state.value = stopped.aborted ? { at: 'stopped' } : { at: 'failed', says: sentenceOf(error) };
        },
      );
    },
    stop: () => stopping.abort(),
  };
}
