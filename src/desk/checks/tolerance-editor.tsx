/** What counts as a fault on this shot. Each field says what it means; all can go back to the defaults. */
import type { JSX } from 'preact';
import { defaultTolerances } from '../../check/tolerances.ts';
import type { Session } from '../session.ts';
import { TypedField } from '../typed-field.tsx';
import { checksOf } from './checks-desk.ts';
import { Fold } from './fold.tsx';
import { setTolerances, type ToleranceName, tolerancesRefuse } from './tolerance-keep.ts';

interface Field {
  readonly name: ToleranceName;
  readonly label: string;
  /** Of a label that goes on from the one before: what it goes on from. */
  readonly of?: string;
  /** Shares are shown in per cent; spacing in hundredths of the way. */
  readonly unit: '%' | 'px' | 'of the way';
}

const fields: readonly Field[] = [
  { name: 'weight', label: 'Weight off the keys', unit: '%' },
  { name: 'driftPx', label: 'Line off the rough', unit: 'px' },
  { name: 'driftLengthPx', label: 'over at least', of: 'Line off the rough', unit: 'px' },
  { name: 'missedPx', label: 'Rough line left out, from', unit: 'px' },
  { name: 'missedStrength', label: 'and as dark as', of: 'Rough line left out', unit: '%' },
  { name: 'volume', label: 'Volume off the rough', unit: '%' },
  { name: 'volumePx', label: 'and its outline by', of: 'Volume off the rough', unit: 'px' },
  { name: 'leakLeastPx', label: 'Gap, from', unit: 'px' },
  { name: 'leakPx', label: 'to', of: 'Gap', unit: 'px' },
  { name: 'spacing', label: 'Off its chart', unit: 'of the way' },
  { name: 'spacingPart', label: 'A part off its chart', unit: 'of the way' },
  { name: 'spacingPartPx', label: 'and on paper', of: 'A part off its chart', unit: 'px' },
  { name: 'boilPx', label: 'Boil', unit: 'px' },
  { name: 'wobblePx', label: 'Wobble', unit: 'px' },
  { name: 'registrationPx', label: 'Slip on the rough', unit: 'px' },
];

const wholeLabel = ({ label, of }: Field): string => (of ? `${of}, ${label}` : label);
const mostOf = ({ unit }: Field): number => (unit === '%' ? 100 : unit === 'px' ? 1000 : 1);
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
                max={mostOf(field)}
                step="any"
                aria-label={wholeLabel(field)}
                value={shown(field, tolerances[field.name])}
                typed={(input) => take(session, field, input)}
              />
              <span>{field.unit}</span>
            </label>
          ))}
          {changed.length > 0 && (
            <p class="finding-ends">
              <button
                type="button"
                class="button"
                onClick={() =>
                  setTolerances(
                    session,
                    changed.map(({ name }) => [name, undefined]),
                    'What counts is back to the defaults',
                  )
                }
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

/** Takes what was typed, or says why not; the field then goes back to what holds. */
function take(session: Session, field: Field, { valueAsNumber, validity }: HTMLInputElement): void {
  const words = `${wholeLabel(field)}: ${valueAsNumber} ${field.unit}`;
  const value = valueAsNumber / timesOf(field);
  const refused =
    valueAsNumber >= 0 && validity.valid
      ? tolerancesRefuse(checksOf(session).tolerances.peek(), field.name, value)
      : `${wholeLabel(field)} goes from 0 to ${mostOf(field)} ${field.unit}.`;
  if (refused) session.notice.value = { says: refused };
  else setTolerances(session, [[field.name, value]], words);
}
