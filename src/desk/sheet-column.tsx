/** One level's column on the exposure sheet. */
import type { JSX } from 'preact';
import type { Waits } from '../note/waits.ts';
import { drawingKey, drawingLabelled } from '../shot/drawing-ref.ts';
import type { Level } from '../shot/model.ts';
import { cleanOf } from '../shot/takes.ts';
import { MarkShape } from './mark.tsx';
import { pencilLine, seedOf } from './pencil.ts';
import { belowLines, partLines, partSize } from './sheet-parts.ts';
import type { SheetSizes } from './sheet-view.ts';
import { WaitShape, waitKinds, waitMarkPx } from './wait-marks.tsx';

interface SheetColumnProps {
  readonly level: Level;
  readonly x: number;
  readonly sizes: SheetSizes;
  readonly yOf: (frame: number) => number;
  /** First and last frame in view. */
  readonly first: number;
  readonly last: number;
  /** The flip set, for the level that is flipped; others stand back. */
  readonly labels: ReadonlySet<string> | undefined;
  readonly held: readonly string[];
  /** By `drawingKey`. */
  readonly waits: ReadonlyMap<string, Waits>;
}

export function SheetColumn({
  level,
  x,
  sizes: { levelPx, rowPx, numberPx },
  yOf,
  first,
  last,
  labels,
  held,
  waits,
}: SheetColumnProps): JSX.Element {
  const middle = x + levelPx / 2 - 3;
  const inView = level.exposures.filter((e) => e.frame + e.length > first && e.frame <= last);
  return (
    <g class={labels ? 'column flipped' : 'column'}>
      <line class="divide" x1={x} x2={x} y1={0} y2={yOf(last + 1)} />
      {inView.map(({ drawing: label, frame, length }) => {
        const drawing = drawingLabelled(level, label) ?? { label, takes: [] };
        const y = yOf(frame) + Math.min(rowPx, 2.2 * numberPx) / 2;
        const endY = yOf(frame + length) - 3;
        const beside = partLines(drawing, { levelPx, numberPx, roomPx: endY - y });
        const holdY = y + (beside.length > 0 ? belowLines(beside.length, numberPx) : numberPx);
        return (
          <g key={frame} class={labels?.has(label) ? 'exposure' : 'exposure aside'}>
            {beside.map((words, n) => (
              <text
                key={words}
                class="part"
                x={x + 3}
                y={y + belowLines(n + 0.5, numberPx)}
                font-size={partSize(numberPx)}
                dominant-baseline="central"
              >
                {words}
              </text>
            ))}
            {length > 1 && holdY < endY - 5 && (
              <path class="hold" d={pencilLine(middle, holdY, middle, endY, seedOf(label) + frame)} />
            )}
            {length > 1 && <path class="hold" d={pencilLine(middle - 4, endY, middle + 4, endY, frame)} />}
            <MarkShape drawing={drawing} x={middle} y={y} size={numberPx} />
            {!cleanOf(drawing) && (
              <rect class="uncleaned" x={x + levelPx - 10} y={y - 4} width={8} height={8} />
            )}
            {waitKinds(waits.get(drawingKey({ level: level.name, drawing: label }))).map((kind, n) => (
              <WaitShape
                key={kind}
                kind={kind}
                x={x + levelPx - waitMarkPx - 1}
                // Beneath the square of a drawing without a clean-up, which has room for two.
                y={yOf(frame) + (cleanOf(drawing) ? 4 + 13 * n : 23 + 10 * n)}
              />
            ))}
            {held.includes(label) && <path class="held-clip" d={`M${x + 3} ${y - 9}v18`} />}
          </g>
        );
      })}
    </g>
  );
}
