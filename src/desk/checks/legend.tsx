/** What the bands or shapes over the line mean, in px. */
import type { JSX } from 'preact';
import type { Measured } from '../../check/measured.ts';
import { scaled } from '../../check/tolerances.ts';
import { isRefused } from '../../line/refused.ts';
import { Icon } from '../icons.tsx';
import type { Session } from '../session.ts';
import { checksOf } from './checks-desk.ts';
import { type Heat, heatOf, stepCount } from './heat.ts';
import { stepColour, stepWidthCssPx } from './heat-paint.ts';
import { openingsOf } from './openings.ts';
import { type LineOverlay, switchesOf } from './switches.ts';

const titles: Readonly<Record<Exclude<LineOverlay, 'none'>, string>> = {
  weight: 'Line weight',
  drift: 'Off the rough',
  openings: 'Openings',
};

export function Legend({ session }: { session: Session }): JSX.Element {
  const { over } = switchesOf(session);
  const desk = checksOf(session);
  const kind = over.value;
  const here = desk.here.value;
  if (kind === 'none') return <></>;
  const level = desk.measured.value.get(here?.level ?? '') ?? [];
  const measured = level.find(({ drawing }) => drawing.label === here?.drawing);
  return (
    <div class="checks-legend" role="group" aria-label={titles[kind]}>
      <p>
        <strong>{titles[kind]}</strong>
      </p>
      {!measured || (!measured.measures && !measured.failed) ? (
        <p class="hint">Not measured yet.</p>
      ) : kind === 'openings' ? (
        <OpeningsKey measured={measured} />
      ) : (
        <HeatKey
          heat={heatOf(kind, measured, level, scaled(desk.tolerances.value, session.shot.value.sizePx[0]))}
        />
      )}
      <button
        type="button"
        class="tool"
        aria-label={`Hide ${titles[kind].toLowerCase()}`}
        onClick={() => {
          over.value = 'none';
        }}
      >
        <Icon name="close" />
      </button>
    </div>
  );
}

const swatchPx = 44;

/** A rule of swatches with the bounds between them; what passes has a bracket. */
function HeatKey({ heat }: { heat: Heat | { readonly refused: string } }): JSX.Element {
  if ('refused' in heat) return <p class="hint">Not measured: {heat.refused}</p>;
  const { scale } = heat;
  const count = stepCount(scale);
  const bounds = scale.boundsPx.map((bound) => bound.toFixed(1));
  const [from = 0, to = 0] = [scale.quiet[0], scale.quiet.at(-1)];
  const width = count * swatchPx;
  return (
    <svg
      class="heat-rule"
      width={width}
      height="46"
      viewBox={`0 0 ${width} 46`}
      role="img"
      aria-label={`Light and thin to dark and wide, bounds at ${bounds.join(', ')} px; ${from > 0 ? `${bounds[from - 1]} to ` : 'up to '}${bounds[to]} px passes`}
    >
      <rect class="heat-paper" x="0" y="3" width={width} height="18" />
      {Array.from({ length: count }, (_, step) => (
        <g key={step} stroke-linecap="round">
          {[1.6, 0].map((edge) => (
            <path
              key={edge}
              d={`M${step * swatchPx + 9} 12h${swatchPx - 18}`}
              stroke={
                edge === 0 ? stepColour(step, count) : step < count / 2 ? 'rgb(60 60 60)' : 'rgb(255 255 255)'
              }
              stroke-width={stepWidthCssPx(step, scale) + edge}
            />
          ))}
        </g>
      ))}
      {bounds.map((bound, n) => (
        <text key={n} x={(n + 1) * swatchPx} y="42" text-anchor="middle">
          {bound}
          {n === bounds.length - 1 ? ' px' : ''}
        </text>
      ))}
      <path class="heat-passes" d={`M${from * swatchPx + 1.5} 22v5H${(to + 1) * swatchPx - 1.5}v-5`} />
    </svg>
  );
}

function OpeningsKey({ measured }: { measured: Measured }): JSX.Element {
  const { measures } = measured;
  if (measures && isRefused(measures.leaks))
    return <p class="hint">Not measured: {measures.leaks.refused}</p>;
  const { gaps, ends, specks } = openingsOf(measured);
  const rows: readonly (readonly [shape: string, words: string, count: number, dashed?: boolean])[] = [
    ['M9 2v12M21 2v12M9 8h12', 'gap', gaps.filter(({ meant }) => !meant).length],
    ['M9 2v12M21 2v12', 'open in the rough too', gaps.filter(({ meant }) => meant).length],
    ['M8 8 22 2v12z', 'end of a line', ends.length],
    ['M15 1 22 8 15 15 8 8z', 'speck', specks.filter(({ hole }) => !hole).length],
    ['M15 1 22 8 15 15 8 8z', 'pinhole', specks.filter(({ hole }) => hole).length, true],
  ];
  return (
    <ul class="heat-key">
      {rows.map(([shape, words, count, dashed]) => (
        <li key={words}>
          <svg width="30" height="16" viewBox="0 0 30 16" aria-hidden="true">
            <path class="opening-shape" d={shape} stroke-dasharray={dashed ? '2.500 2.500' : undefined} />
          </svg>
          {count} × {words}
        </li>
      ))}
    </ul>
  );
}
