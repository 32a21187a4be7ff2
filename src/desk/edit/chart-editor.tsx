/** Where the drawing lies between two others, as a timing chart. */
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { chartFault } from '../../shot/chart-tree.ts';
import { drawingLabelled } from '../../shot/drawing-ref.ts';
import { isFraction, usualFractions } from '../../shot/fraction-words.ts';
import { compareLabels } from '../../shot/labels.ts';
import type { Chart, Level } from '../../shot/model.ts';
import { chartEdit } from '../edits.ts';
import { TypedField } from '../typed-field.tsx';
import type { EditorProps } from './props.ts';
import { TimingChart } from './timing-chart.tsx';

/** The extremes on either side, nearest first choice for a drawing without a chart. */
function likelyEnds(level: Level, label: string): { from: string; to: string } {
  const ends = level.drawings.filter(
    ({ role, label: other }) => other !== label && role && role !== 'inbetween',
  );
  const others = ends.length >= 2 ? ends : level.drawings.filter((other) => other.label !== label);
  const before = others.filter((other) => compareLabels(other.label, label) < 0);
  const after = others.filter((other) => compareLabels(other.label, label) > 0);
  // At either end of the shot there is none on one side: then the two nearest on the other.
  const [from, to] = [...before.slice(after.length > 0 ? -1 : -2), ...after.slice(0, 2)];
  return { from: from?.label ?? '', to: to?.label ?? '' };
}

export function ChartEditor({ session, level, drawing }: EditorProps): JSX.Element | null {
  const start = drawing.chart ?? likelyEnds(level, drawing.label);
  const [ends, setEnds] = useState({ from: start.from, to: start.to });
  if (level.drawings.length < 3) return null;
  const shown = drawing.chart ?? ends;
  const set = (chart: Chart): void => {
    const fault = chartFault(level, drawing.label, chart);
    if (fault) session.notice.value = { says: `${fault} Nothing was changed.` };
    else session.edit(chartEdit(level, drawing.label, chart));
  };
  const setEnd = (end: 'from' | 'to', label: string): void => {
    const next = { from: shown.from, to: shown.to, [end]: label };
    setEnds(next);
    if (drawing.chart) set({ ...drawing.chart, ...next });
  };
  const others = level.drawings.filter(({ label }) => label !== drawing.label);
  const picker = (end: 'from' | 'to', words: string): JSX.Element => (
    <label>
      {words}
      <select value={shown[end]} onChange={(event) => setEnd(end, event.currentTarget.value)}>
        {others.map(({ label }) => (
          <option key={label} value={label}>
            {label}
          </option>
        ))}
      </select>
    </label>
  );
  const fraction = drawing.chart?.fraction;
  return (
    <fieldset class="choice">
      <legend>Chart</legend>
      <div class="chart-row">
        <div class="chart-fields">
          {picker('from', 'from')}
          {picker('to', 'to')}
          <label>
            at
            <TypedField
              type="number"
              min={1}
              max={99}
              step={1}
              value={fraction === undefined ? '' : Math.round(fraction * 1000) / 10}
              placeholder="–"
              aria-label="Percent of the way"
              typed={({ valueAsNumber: percent }) => {
                if (percent > 0 && percent < 100) set({ ...shown, fraction: percent / 100 });
              }}
            />
            %
          </label>
        </div>
        {drawingLabelled(level, shown.from) && drawingLabelled(level, shown.to) && (
          <TimingChart
            level={level}
            from={shown.from}
            to={shown.to}
            label={drawing.label}
            fraction={fraction}
          />
        )}
      </div>
      <div class="choice-row tight">
        {usualFractions.map(([words, value]) => (
          <button
            key={words}
            type="button"
            aria-pressed={fraction !== undefined && isFraction(fraction, value)}
            onClick={() => set({ ...shown, fraction: value })}
          >
            {words}
          </button>
        ))}
        <button
          type="button"
          disabled={!drawing.chart}
          onClick={() => session.edit(chartEdit(level, drawing.label, undefined))}
        >
          none
        </button>
      </div>
    </fieldset>
  );
}
