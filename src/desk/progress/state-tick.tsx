/** A drawing's state as one fills a box on a sheet: empty, half, full, ticked. */
import type { JSX } from 'preact';
import type { DrawingState } from '../../note/entry.ts';
import './state-tick.css';

const [left, top, wide, high] = [5, 6, 12, 14];
const filled: Readonly<Record<DrawingState, number>> = {
  rough: 0,
  'in clean-up': 0.5,
  clean: 1,
  approved: 1,
};

export function StateTick({ state }: { readonly state: DrawingState }): JSX.Element {
  const ink = high * filled[state];
  return (
    <svg class="state-tick" width={22} height={22} viewBox="0 0 22 22" aria-hidden="true">
      <rect class="box" x={left} y={top} width={wide} height={high} />
      <rect class="ink" x={left} y={top + high - ink} width={wide} height={ink} />
      {state === 'approved' && <path d="M7.5 13l2.500 3.500 4.500-7" />}
    </svg>
  );
}
