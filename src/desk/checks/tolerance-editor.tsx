/** What counts as a fault on this shot. Each field says what it means; all can go back to the defaults. */
import type { JSX } from 'preact';
import { defaultTolerances } from '../../check/tolerances.ts';
import type { Session } from '../session.ts';
import { TypedField } from '../typed-field.tsx';
import { checksOf } from './checks-desk.ts';
import { Fold } from './fold.tsx';
import { setTolerance, type ToleranceName } from './tolerance-keep.ts';

interface Field {
  readonly name: ToleranceName;
  readonly label: string;
  /** Shares are shown in per cent; spacing in hundredths of the way. */
  readonly unit: '%' | 'px' | 'of the way';
}

const fields: readonly Field[] = [
  { name: 'weight', label: 'Weight off the keys', unit: '%' },
  { name: 'driftPx', label: 'Line off the rough', unit: 'px' },
  { name: 'driftLengthPx', label: 'over at least', unit: 'px' },
  { name: 'missedPx', label: 'Rough line left out, from', unit: 'px' },
  { name: 'missedStrength', label: 'and as dark as', unit: '%' },
  { name: 'volume', label: 'Volume off the rough', unit: '%' },
  { name: 'leakLeastPx', label: 'Gap, from', unit: 'px' },
  { name: 'leakPx', label: 'to', unit: 'px' },
  { name: 'spacing', label: 'Off its chart', unit: 'of the way' },
  { name: 'spacingPart', label: 'A part off its chart', unit: 'of the way' },
  { name: 'spacingPartPx', label: 'and on paper', unit: 'px' },
  { name: 'boilPx', label: 'Boil', unit: 'px' },
  { name: 'wobblePx', label: 'Wobble', unit: 'px' },
  { name: 'registrationPx', label: 'Slip on the rough', unit: 'px' },
];

const timesOf = ({ unit }: Field): number => (unit === '%' ? 100 : 1);
const shown = (field: Field, value: number): number => Math.round(value * timesOf(field) * 1000) / 1000;

export function ToleranceEditor({ session }: { session: Session }): JSX.Element {
  const tolerances = checksOf(session).tolerances.value;
  const changed = fields.filter(({ name }) => tolerances[name] !== defaultTolerances[name]);
  return (
    <Fold class="tolerances" title="What counts as a fault">
      {() => (
        <>
          <p class="hint">
            For everyone on this shot. Lengths are those of a drawing 2048 px wide and grow with the paper;
            gaps are px of the drawing itself. Another widest gap measures every drawing again.
          </p>
          {fields.map((field) => (
            <label key={field.name} class="tolerance">
              <span>{field.label}</span>
              <TypedField
                type="number"
                inputMode="decimal"
                min={0}
                max={field.unit === '%' ? 100 : field.unit === 'px' ? 1000 : 1}
                step="any"
                value={shown(field, tolerances[field.name])}
                typed={({ valueAsNumber, validity }) => {
                  if (valueAsNumber >= 0 && validity.valid)
                    setTolerance(
                      session,
                      field.name,
                      valueAsNumber / timesOf(field),
                      `${field.label}: ${valueAsNumber} ${field.unit}`,
                    );
                }}
              />
              <span>{field.unit}</span>
            </label>
          ))}
          {changed.length > 0 && (
            <p class="finding-ends">
              <button
                type="button"
                class="button"
                onClick={() => {
                  for (const { name } of changed)
                    setTolerance(session, name, undefined, 'What counts is back to the defaults');
                }}
              >
                Back to the defaults
              </button>
            </p>
          )}
        </>
      )}
    </Fold>
  );
}
