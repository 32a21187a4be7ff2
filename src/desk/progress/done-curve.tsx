/** What was done over the days, in pencil, and the fan of what is to come. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { Outlook } from '../../note/outlook.ts';
import { pencilLine } from '../pencil.ts';
import { curveLines, type Point } from './done-curve.ts';
import { dayWords, drawingsWords, shortDayWords } from './words.ts';

const heightPx = 190;

const path = (points: readonly Point[]): string =>
  points.map(([x, y], n) => `${n === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`).join('');

export function DoneCurve({ outlook }: { outlook: Outlook }): JSX.Element {
  const place = useRef<HTMLDivElement>(null);
  const widthPx = useSignal(288);
  useEffect(() => {
    const element = place.current;
    if (!element) return;
    const watcher = new ResizeObserver(([entry]) => {
      if (entry) widthPx.value = Math.max(200, Math.round(entry.contentRect.width));
    });
    watcher.observe(element);
    return () => watcher.disconnect();
  }, [widthPx]);
  const width = widthPx.value;
  const { done, likely, fan, total, bottom, today, due, days } = curveLines(outlook, {
    width,
    height: heightPx,
    margin: [34, 26, 30, 30],
  });
  /** Above the curve's end, to the left; beside it where there is no room yet. */
  const roomy = today > 100;
  return (
    <div class="done-curve" ref={place}>
      <svg
        width={width}
        height={heightPx}
        viewBox={`0 0 ${width} ${heightPx}`}
        role="img"
        aria-label={said(outlook)}
      >
        <path class="ground" d={pencilLine(22, bottom, width - 8, bottom, 3)} />
        <path class="total" d={pencilLine(22, total, width - 8, total, 9)} />
        <text x={22} y={total - 8}>{`all ${outlook.total}`}</text>
        <path class="fan" d={`${path(fan)}Z`} />
        <path class="likely-line" d={path(likely)} />
        <path class="done-line" d={path(done)} />
        <path class="now" d={pencilLine(today, bottom, today, total, 5)} />
        <text
          x={today + (roomy ? -8 : 6)}
          y={Math.max(total + 16, (done.at(-1)?.[1] ?? bottom) - (roomy ? 10 : -18))}
          text-anchor={roomy ? 'end' : 'start'}
        >
          {`${outlook.done} done`}
        </text>
        {due !== undefined && (
          <g class={outlook.late.length > 0 ? 'due wants' : 'due'}>
            <path d={pencilLine(due, bottom, due, total - 12, 7)} />
            <text x={due} y={total - 16} text-anchor={due > width - 40 ? 'end' : 'middle'}>
              due
            </text>
          </g>
        )}
        {days.map(({ day, x }, n) => (
          <text
            key={day}
            class="day"
            x={x}
            y={heightPx - 8}
            text-anchor={n === 0 ? 'start' : n === days.length - 1 ? 'end' : 'middle'}
          >
            {shortDayWords(day)}
          </text>
        ))}
      </svg>
    </div>
  );
}

/** The curve in words, for people who do not see it. */
function said({ done, total, forecast, left }: Outlook): string {
  const so = `${done} of ${drawingsWords(total)} clean`;
  return left.length === 0
    ? so
    : `${so}; the rest likely by ${dayWords(forecast.likely)}, at the earliest ${dayWords(forecast.early)}, at the latest ${dayWords(forecast.late)}`;
}
