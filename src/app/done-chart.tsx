/** What of a shot is clean, drawn as a chart is: one tick a drawing, keys longest, hollow while only rough. */
import type { JSX } from 'preact';
import type { Role, Shot } from '../shot/model.ts';

const tickPx: Readonly<Record<Role | 'none', number>> = { key: 20, breakdown: 14, inbetween: 8, none: 8 };
const stepPx = 9;

export function DoneChart({ shot }: { shot: Shot }): JSX.Element {
  const drawings = shot.levels.flatMap((level) => level.drawings);
  const width = Math.max(1, drawings.length) * stepPx + 6;
  return (
    <svg
      class="done-chart"
      width={width}
      height={24}
      viewBox={`0 0 ${width} 24`}
      preserveAspectRatio="xMinYMid"
      aria-hidden="true"
    >
      <path d={`M0 22H${width}`} />
      {drawings.map(({ label, role, takes }, index) => {
        const x = 5 + index * stepPx;
        const height = tickPx[role ?? 'none'];
        return (
          <rect
            key={`${index} ${label}`}
            class={takes.length > 0 ? 'clean' : 'waits'}
            x={x - 2}
            y={21 - height}
            width={4}
            height={height}
          />
        );
      })}
    </svg>
  );
}
