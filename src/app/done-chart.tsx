/**
 * How far a shot is, drawn as a chart is: one tick a drawing, keys longest; hollow while rough, half full in
 * clean-up, full when clean, with a point above when approved; under the ground what waits on it.
 */
import type { JSX } from 'preact';
import { type WaitKind, WaitShape, waitKinds, waitMarkPx } from '../desk/wait-marks.tsx';
import type { DrawingState } from '../note/entry.ts';
import type { Waits } from '../note/waits.ts';
import type { Drawing, Role } from '../shot/model.ts';

const tickPx: Readonly<Record<Role | 'none', number>> = { key: 20, breakdown: 14, inbetween: 8, none: 8 };
const stepPx = 9;
const groundPx = 27;
const full: Readonly<Record<DrawingState, number>> = { rough: 0, 'in clean-up': 0.5, clean: 1, approved: 1 };

export interface Done {
  readonly drawing: Drawing;
  readonly state: DrawingState;
  readonly waits?: Waits | undefined;
}

/** The first of them: under a tick there is room for one. */
const firstKind = ({ waits }: Done): WaitKind | undefined => waitKinds(waits)[0];

export function DoneChart({ done }: { done: readonly Done[] }): JSX.Element {
  const width = Math.max(1, done.length) * stepPx + 6;
  const height = groundPx + 2 + (done.some(firstKind) ? waitMarkPx + 3 : 0);
  return (
    <svg
      class="done-chart"
      width={width}
      height={height}
      viewBox={`0 0 ${width} ${height}`}
      preserveAspectRatio="xMinYMid"
      aria-hidden="true"
    >
      <path d={`M0 ${groundPx}H${width}`} />
      {done.map((one, index) => {
        const {
          drawing: { label, role },
          state,
        } = one;
        const kind = firstKind(one);
        const x = 5 + index * stepPx;
        const height = tickPx[role ?? 'none'];
        const bottom = groundPx - 1;
        return (
          <g key={`${index} ${label}`}>
            {full[state] < 1 && (
              <rect class="waits" x={x - 2} y={bottom - height} width={4} height={height} />
            )}
            {full[state] > 0 && (
              <rect
                class="clean"
                x={x - 2}
                y={bottom - height * full[state]}
                width={4}
                height={height * full[state]}
              />
            )}
            {kind && <WaitShape kind={kind} x={x - waitMarkPx / 2} y={groundPx + 3} />}
            {state === 'approved' && <circle class="clean" cx={x} cy={bottom - height - 4} r={2.2} />}
          </g>
        );
      })}
    </svg>
  );
}
