import type { JSX } from 'preact';
import type { Samples } from './samples.ts';

/** How far the laying out of the sample shots is, with its stop. */
export function SampleProgress({ samples }: { samples: Samples }): JSX.Element | null {
  const now = samples.state.value;
  if (now.at === 'rest') return null;
  if (now.at === 'failed') {
    return (
      <p class="progress-line" role="status">
        <span>The sample shots could not be fetched; everything on the shelf is as it was.</span>
        <button type="button" class="button" onClick={() => void samples.layOut()}>
          Try again
        </button>
      </p>
    );
  }
  return (
    <p class="progress-line">
      <span>Laying out the sample shots{now.title && `: ${now.title}`} …</span>
      <progress max={Math.max(1, now.total)} value={now.done} aria-label="Sample shots laid out" />
      <button type="button" class="button" onClick={samples.stop}>
        Stop
      </button>
    </p>
  );
}
