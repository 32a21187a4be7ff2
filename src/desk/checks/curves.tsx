/**
 * Curves beside the exposure sheet, frames down in the sheet's own rows: weight, volume, spacing, each with the
 * band of what passes, and the volume of every part that is followed. A tap leads to the drawing.
 */
import type { JSX } from 'preact';
import { drawingLabelled, levelNamed } from '../../shot/drawing-ref.ts';
import { notationOf } from '../../shot/notation.ts';
import type { RowsInView } from '../extensions.ts';
import type { Session } from '../session.ts';
import { frameUnder } from '../sheet-view.ts';
import { textScale } from '../text-size.ts';
import { checksOf } from './checks-desk.ts';
import { across, bandEdge, type Curve, type CurveName, type CurvePoint, curvesOf } from './curves.ts';
import { type PartsCurve, partsCurve, partsUnsure } from './parts-curve.ts';

/** Wide enough for the longest heading at the usual text size. */
const usualStripPx = 58;
const names: Readonly<Record<CurveName, string>> = {
  weight: 'Weight',
  volume: 'Volume',
  spacing: 'Spacing',
  parts: 'In parts',
};

export function Curves({ session, rows }: { session: Session; rows: RowsInView }): JSX.Element | null {
  const desk = checksOf(session);
  const shot = session.shot.value;
  const level = levelNamed(shot, session.model.value.level);
  const here = session.onPaper.value;
  if (!level) return null;
  const tolerances = desk.tolerances.value;
  const found = desk.listed.value.flatMap(({ finding, standing }) =>
    finding.level === level.name && standing !== 'dismissed' ? finding : [],
  );
  const runs = desk.runs.value.get(level.name) ?? [];
  const called = new Set(found.flatMap(({ check, drawing }) => (check === 'volume' ? drawing : [])));
  const parts = partsCurve(level, runs, tolerances, called);
  const curves = [...curvesOf(level, desk.measured.value.get(level.name) ?? [], tolerances, found), parts];
  const atHand = runs[level.drawings.findIndex(({ label }) => label === here?.drawing)] ?? [];
  const unsure = [...partsUnsure(atHand, shot.sizePx)];
  return (
    <div class="curves" role="group" aria-label="Curves">
      {curves.map((curve) => (
        <Strip
          key={curve.name}
          curve={curve}
          rows={rows}
          here={here?.frame ?? 0}
          says={saysAt(curve, here?.drawing)}
          markOf={(label) => {
            const drawing = drawingLabelled(level, label);
            return drawing ? notationOf(drawing).mark : 'plain';
          }}
          goTo={(frame) => session.act({ do: 'frame', frame })}
        />
      ))}
      {unsure.length > 0 && (
        <p class="curves-why" role="note">
          {unsure.slice(0, mostReasons).map(([reason, places]) => (
            <span key={reason}>
              Volume {places}: {reason}.
            </span>
          ))}
          {unsure.length > mostReasons && <span>All reasons stand in Checks.</span>}
        </p>
      )}
    </div>
  );
}

function saysAt(curve: Curve | PartsCurve, drawing = ''): string {
  const own = curve.points.find((point) => point.drawing === drawing);
  return ('lines' in curve ? curve.says.get(drawing) : own?.says) ?? '–';
}

/** More would cover the rows. */
const mostReasons = 2;

interface StripProps {
  readonly curve: Curve | PartsCurve;
  readonly rows: RowsInView;
  readonly here: number;
  readonly says: string;
  readonly markOf: (label: string) => 'circle' | 'underline' | 'plain';
  readonly goTo: (frame: number) => void;
}

function Strip({
  curve,
  rows: { top, heightPx, rowPx, frames },
  here,
  says,
  markOf,
  goTo,
}: StripProps): JSX.Element {
  const stripPx = usualStripPx * textScale.value;
  const middle = stripPx / 2;
  const reach = middle - 6;
  const yOf = (frame: number): number => (frame - 0.5 - top) * rowPx;
  const inView = curve.points.filter(
    ({ frame, length }) => yOf(frame + length) > -rowPx && yOf(frame) < heightPx + 2 * rowPx,
  );
  const x = (point: CurvePoint): number => middle + reach * across(point, curve);
  const parts = 'lines' in curve ? curve : undefined;
  const line = (parts?.lines ?? [inView]).map((points) => pathOf(points, x, yOf)).join('');
  return (
    <div class="curve" data-curve={curve.name} style={{ width: `${stripPx}px` }}>
      <p class="curve-head">
        {names[curve.name]}
        <output>{says}</output>
      </p>
      <svg
        width={stripPx}
        height={heightPx}
        role="img"
        aria-label={`${names[curve.name]}: ${outsideWords(curve)}`}
        onPointerDown={(event) => {
          const box = event.currentTarget.getBoundingClientRect();
          goTo(frameUnder(event.clientY - box.top, top, frames, rowPx));
        }}
      >
        <rect
          class="band"
          x={middle - reach * bandEdge(curve)}
          y={0}
          width={2 * reach * bandEdge(curve)}
          height={heightPx}
        />
        {here > 0 && <rect class="here" x={0} y={yOf(here) - rowPx / 2} width={stripPx} height={rowPx} />}
        <path class="right-on" d={`M${middle} 0V${heightPx}`} />
        <path class="curve-line" d={line} />
        {parts?.unsureAt.map((frame) => (
          <path key={frame} class="unsure" d={`M4 ${yOf(frame) - 3}l6 6m0 -6l-6 6`} />
        ))}
        {(parts ? inView.filter(({ out }) => out) : inView).map((point, n) => (
          <PointMark
            key={`${point.frame} ${n}`}
            x={x(point)}
            y={yOf(point.frame)}
            mark={markOf(point.drawing)}
            out={point.out}
          />
        ))}
      </svg>
    </div>
  );
}

function pathOf(
  points: readonly CurvePoint[],
  x: (point: CurvePoint) => number,
  yOf: (frame: number) => number,
): string {
  return points
    .map((point, n) => {
      const to = `${x(point)} ${yOf(point.frame)}`;
      return `${n === 0 ? 'M' : 'L'}${to}V${yOf(point.frame + point.length - 1)}`;
    })
    .join('');
}

/** A key's point is circled, a breakdown's underlined, an in-between's plain; called out it is solid and larger. */
function PointMark({
  x,
  y,
  mark,
  out,
}: {
  x: number;
  y: number;
  mark: 'circle' | 'underline' | 'plain';
  out: boolean;
}): JSX.Element {
  return (
    <g class={out ? 'curve-point out' : 'curve-point'}>
      <circle cx={x} cy={y} r={out ? 4.2 : 2.6} />
      {mark === 'circle' && <circle class="ring" cx={x} cy={y} r={7} />}
      {mark === 'underline' && <path class="ring" d={`M${x - 6} ${y + 8}h12`} />}
    </g>
  );
}

function outsideWords({ points }: Curve): string {
  if (points.length === 0) return 'nothing measured yet';
  const out = new Set(points.filter(({ out }) => out).map(({ drawing }) => drawing));
  return out.size === 0 ? 'nothing is called out' : `called out: ${[...out].join(', ')}`;
}
