/** A drawing's number in traditional notation: circled, underlined, plain, in a triangle; an arc beneath. */
import type { JSX } from 'preact';
import type { Drawing } from '../shot/model.ts';
import { notationOf } from '../shot/notation.ts';
import { pencilCircle, pencilLine, pencilSwing, pencilTriangle, seedOf } from './pencil.ts';

export interface MarkProps {
  readonly drawing: Drawing;
  readonly x: number;
  readonly y: number;
  /** Height of the digits' line, px. */
  readonly size: number;
}

/** Widths by eye of the system's tabular figures, in parts of the size. */
const digitWidth = 0.58;

export function MarkShape({ drawing, x, y, size }: MarkProps): JSX.Element {
  const { mark, triangle, runsOn } = notationOf(drawing);
  const seed = seedOf(drawing.label);
  const halfWidth = (drawing.label.length * size * digitWidth) / 2;
  return (
    <g class="mark">
      <text
        x={x}
        y={y}
        font-size={triangle ? size * 0.86 : size}
        text-anchor="middle"
        dominant-baseline="central"
      >
        {drawing.label}
      </text>
      {mark === 'circle' && (
        <path d={pencilCircle(x, y - size * 0.04, halfWidth + size * 0.42, size * 0.74, seed)} />
      )}
      {mark === 'underline' && (
        <path
          d={pencilLine(x - halfWidth - 2, y + size * 0.56, x + halfWidth + 2, y + size * 0.53, seed, 1.5)}
        />
      )}
      {triangle && <path d={pencilTriangle(x, y, halfWidth + size * 0.38, size * 0.72, seed)} />}
      {runsOn && <path d={pencilSwing(x - halfWidth, x + halfWidth + size * 0.62, y, size, seed)} />}
    </g>
  );
}

/** The same as an element of its own, in a line of text or a button. */
export function Mark({ drawing, size }: { drawing: Drawing; size: number }): JSX.Element {
  const width = Math.max(size * 1.9, drawing.label.length * size * digitWidth + size * 1.3);
  const height = size * 2;
  return (
    <svg
      class="mark-alone"
      width={width}
      height={height}
      viewBox={`0 0 ${width} ${height}`}
      aria-hidden="true"
    >
      <MarkShape drawing={drawing} x={width / 2} y={height / 2} size={size} />
    </svg>
  );
}
