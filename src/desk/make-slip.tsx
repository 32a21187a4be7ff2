/** Files made on this tablet: chosen, made with progress and a way to stop, then shared or saved. */
import { useSignal } from '@preact/signals';
import type { ComponentChildren, JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { sentenceOf } from '../error/sentence.ts';
import { GiveFile } from './give-file.tsx';

export interface MakeOptions {
  readonly signal: AbortSignal;
  readonly onProgress: (share: number) => void;
}

export interface Made {
  readonly file: File;
  /** What is not as one would expect, in a sentence or two; empty when all is. */
  readonly told: string;
}

/** Makes a file; `what` it is stands in the line that shows how far it is. */
type Make = (what: string, making: (options: MakeOptions) => Promise<Made>) => void;

type State =
  | { readonly at: 'choosing' }
  | { readonly at: 'making'; readonly what: string; readonly share: number }
  | ({ readonly at: 'ready' } & Made)
  | { readonly at: 'failed'; readonly says: string };

interface MakeSlipProps {
  /** Said after why a file could not be made. */
  readonly safe: string;
  /** Where a page has more than one. */
  readonly label?: string;
  readonly children: (make: Make) => ComponentChildren;
}

export function MakeSlip({ safe, label = 'Hand out', children }: MakeSlipProps): JSX.Element {
  const state = useSignal<State>({ at: 'choosing' });
  const making = useRef<AbortController>(undefined);
  useEffect(() => () => making.current?.abort(), []);
  const again = (): void => {
    making.current?.abort();
    state.value = { at: 'choosing' };
  };
  const make: Make = (what, start) => {
    const stop = new AbortController();
    making.current = stop;
    const say = (next: State): void => {
      if (!stop.signal.aborted) state.value = next;
    };
    say({ at: 'making', what, share: 0 });
    start({ signal: stop.signal, onProgress: (share) => say({ at: 'making', what, share }) }).then(
      (made) => say({ at: 'ready', ...made }),
      (error: unknown) => say({ at: 'failed', says: sentenceOf(error) }),
    );
  };
  const now = state.value;
  return (
    <section class="out-slip" aria-label={label}>
      {now.at === 'choosing' && children(make)}
      {now.at === 'making' && (
        <div class="progress-line">
          <span>Making {now.what} …</span>
          <progress max={1} value={now.share} aria-label="Made" />
          <button type="button" class="button" onClick={again}>
            Stop
          </button>
        </div>
      )}
      {now.at === 'ready' && (
        <p class="out-ready" role="status">
          <GiveFile
            file={now.file}
            says={`${now.file.name}, ${kilobytes(now.file.size)}, is ready. ${now.told}`.trim()}
            close={again}
          />
        </p>
      )}
      {now.at === 'failed' && (
        <p role="alert" class="out-ready">
          <span>
            {now.says} {safe}
          </span>
          <button type="button" class="button" onClick={again}>
            Back
          </button>
        </p>
      )}
    </section>
  );
}

function kilobytes(bytes: number): string {
  return bytes < 1e6 ? `${Math.ceil(bytes / 1000)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}
