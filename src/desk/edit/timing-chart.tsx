/** A timing chart as drawn at the edge of an extreme: a line, its ends, and a tick for each drawing on it. */
import type { JSX } from 'preact';
import { drawingLabelled } from '../../shot/drawing-ref.ts';
import type { Level } from '../../shot/model.ts';
import { MarkShape } from '../mark.tsx';
import { pencilLine } from '../pencil.ts';

interface TimingChartProps {
  readonly level: Level;
  readonly from: string;
  readonly to: string;
  readonly label: string;
  readonly fraction: number | undefined;
}

const heightPx = 168;
const marginPx = 18;
const lineX = 58;

export function TimingChart({ level, from, to, label, fraction }: TimingChartProps): JSX.Element {
  const yOf = (f: number): number => marginPx + f * (heightPx - 2 * marginPx);
  const between = level.drawings.flatMap(({ label: other, chart }) =>
    chart && chart.from === from && chart.to === to ? [{ label: other, fraction: chart.fraction }] : [],
  );
  const ticks =
    between.some((tick) => tick.label === label) || fraction === undefined
      ? between
      : [...between, { label, fraction }];
  const number = (text: string, y: number): JSX.Element => (
    <MarkShape drawing={drawingLabelled(level, text) ?? { label: text, takes: [] }} x={28} y={y} size={14} />
  );
  return (
    <svg
      class="timing-chart"
      width={84}
      height={heightPx}
      role="img"
      aria-label={`Timing chart from ${from} to ${to}`}
    >
      <path d={pencilLine(lineX, yOf(0), lineX, yOf(1), 3)} />
      <path d={pencilLine(lineX - 10, yOf(0), lineX + 12, yOf(0), 5)} />
      <path d={pencilLine(lineX - 10, yOf(1), lineX + 12, yOf(1), 8)} />
      {number(from, yOf(0))}
      {number(to, yOf(1))}
      {ticks.map((tick) => (
        <g key={tick.label} class={tick.label === label ? 'this' : 'other'}>
          <path
            d={pencilLine(lineX - 7, yOf(tick.fraction), lineX + 9, yOf(tick.fraction), 4 + tick.fraction)}
          />
          {number(tick.label, yOf(tick.fraction))}
        </g>
      ))}
    </svg>
  );
}
