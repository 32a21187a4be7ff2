/** A drawing's state as one fills a box on a sheet: empty, half, full, ticked over. */
import type { JSX } from 'preact';
import type { DrawingState } from '../../note/entry.ts';
import './state-tick.css';

const wide = 12;

/** In a drawing of one's own: its left lower corner is at `x`, `bottom`. */
export function StateTickShape({
  state,
  x,
  bottom,
  height,
}: {
  readonly state: DrawingState;
  readonly x: number;
  readonly bottom: number;
  readonly height: number;
}): JSX.Element {
  const full = state === 'rough' ? 0 : state === 'in clean-up' ? height / 2 : height;
  return (
    <g class="state-tick">
      <rect class="box" x={x} y={bottom - height} width={wide} height={height} />
      {full > 0 && <rect class="ink" x={x} y={bottom - full} width={wide} height={full} />}
      {state === 'approved' && <path d={`M${x + 2.5} ${bottom - height / 2}l2.500 3.500 4.500-7`} />}
    </g>
  );
}

export function StateTick({ state }: { readonly state: DrawingState }): JSX.Element {
  return (
    <svg class="state-tick-alone" width={22} height={22} viewBox="0 0 22 22" aria-hidden="true">
      <StateTickShape state={state} x={5} bottom={20} height={14} />
    </svg>
  );
}
