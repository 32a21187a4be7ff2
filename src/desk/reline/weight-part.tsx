/** Thicker, thinner or evened: what is wished, what it would break drawing by drawing, and its doing. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import type { WeightWish } from '../../check/reweigh-by.ts';
import { MOST_EDGE_PX } from '../../line/reweight/reweigh.ts';
import { Choice } from '../choice.tsx';
import { MakeSlip } from '../make-slip.tsx';
import { Mark } from '../mark.tsx';
import type { Session } from '../session.ts';
import { Slide } from '../slide.tsx';
import { TypedField } from '../typed-field.tsx';
import { breaksWords } from './break-words.ts';
import { goToBox } from './go-to-box.ts';
import { handOut } from './hand-out.ts';
import { type Placed, type Range, type RelineDesk, wishWords } from './reline-desk.ts';

const hows = { px: 'px', percent: '%', keys: 'Like the keys' } as const;
const ranges: Readonly<Record<Range, string>> = { drawing: 'This one', set: 'Flip set', shot: 'Shot' };
/** A slider has to be fine; more is typed. */
const mostSlid = { px: 4, percent: 60 } as const;
const mostTyped = { px: 2 * MOST_EDGE_PX, percent: 99 } as const;

interface PartProps {
  readonly session: Session;
  readonly desk: RelineDesk;
  readonly may: boolean;
}

export function WeightPart({ session, desk, may }: PartProps): JSX.Element {
  const out = useSignal(false);
  const wish = desk.wish.value;
  const all = desk.inRange.value;
  const changes = all.map((one) => ({ one, change: desk.changeOf(one), told: desk.foretoldOf(one) }));
  const changing = changes.flatMap((row) => (row.change && 'byPx' in row.change ? [row] : []));
  const unknown = changes.filter(({ change }) => change === undefined).length;
  const open = unknown + changing.filter(({ told }) => told === undefined).length;
  const isNothing = (wish.how === 'px' && wish.px === 0) || (wish.how === 'percent' && wish.percent === 0);
  const ready = !isNothing && open === 0 && changing.length > 0;
  return (
    <>
      <p class="hint">For clean, even line. On a rough or sketched line it is seldom a good idea.</p>
      <Choice
        name="By how much"
        words={hows}
        now={wish.how === 'to' ? 'px' : wish.how}
        choose={(how) => choose(desk, how)}
      />
      <Amount desk={desk} wish={wish} />
      <Weights desk={desk} />
      <Choice
        name="Which drawings"
        words={ranges}
        now={desk.range.value}
        choose={(range) => {
          desk.range.value = range;
          desk.looking.value = false;
        }}
      />
      {!isNothing && (
        <section aria-label="What it would break">
          {open > 0 && <Looking desk={desk} open={open} of={all.length} />}
          {open === 0 && changing.length === 0 && <p>None of these drawings would change.</p>}
          <Broken session={session} rows={changes} />
          {ready && (
            <p role="status">
              {changing.length === 1 ? 'One drawing changes' : `${changing.length} drawings change`}
              {all.length > changing.length && `, ${all.length - changing.length} stay as they are`}.{' '}
              {brokenCount(changing) === 0
                ? 'Nothing breaks.'
                : `In ${brokenCount(changing)} something breaks: look there first.`}
            </p>
          )}
          {ready && !desk.running.value && (
            <p class="reline-do">
              <button type="button" class="button first" disabled={!may} onClick={() => desk.reweigh()}>
                {changing.length === 1 ? 'Make a new take' : `Make ${changing.length} new takes`}
              </button>
              <button
                type="button"
                class="button"
                aria-expanded={out.value}
                onClick={() => {
                  out.value = !out.value;
                }}
              >
                PNG files
              </button>
            </p>
          )}
          {ready && out.value && (
            <MakeSlip safe="The shot is as it was." label="PNG files">
              {(make) => (
                <p class="out-ways choice">
                  <button
                    type="button"
                    onClick={() =>
                      make('the drawings', (options) =>
                        handOut(
                          session,
                          refsOf(all),
                          desk.toReweigh(),
                          `line ${wishWords(wish)}`,
                          desk.worker,
                          options,
                        ),
                      )
                    }
                  >
                    {all.length === 1 ? 'This drawing' : `All ${all.length}, in a zip`}
                  </button>
                </p>
              )}
            </MakeSlip>
          )}
          {ready && (
            <p class="hint">
              The takes there are stay. A drawing that was approved waits to be approved again.
            </p>
          )}
        </section>
      )}
    </>
  );
}

const refsOf = (all: readonly Placed[]) =>
  all.map(({ level, drawing, image }) => ({ level: level.name, drawing: drawing.label, image }));

function choose(desk: RelineDesk, how: 'px' | 'percent' | 'keys'): void {
  desk.wish.value = how === 'px' ? { how, px: 0 } : how === 'percent' ? { how, percent: 0 } : { how };
}

function Amount({ desk, wish }: { desk: RelineDesk; wish: WeightWish }): JSX.Element | null {
  if (wish.how === 'keys' || wish.how === 'to') return null;
  const { how } = wish;
  const value = wish.how === 'px' ? wish.px : wish.percent;
  const set = (amount: number): void => {
    desk.wish.value = how === 'px' ? { how, px: amount } : { how, percent: amount };
  };
  const most = mostTyped[how];
  const unit = how === 'px' ? 'px' : '%';
  return (
    <>
      <Slide
        label="Thinner to thicker"
        value={value}
        min={-mostSlid[how]}
        max={mostSlid[how]}
        step={how === 'px' ? 0.1 : 1}
        says={value === 0 ? 'as it is' : wishWords(wish)}
        set={(amount) => set(Math.round(amount * 10) / 10)}
      />
      <label class="field">
        In {unit}, thinner with a minus
        <TypedField
          type="number"
          inputMode="decimal"
          min={-most}
          max={most}
          step="any"
          value={value}
          typed={({ valueAsNumber }) => {
            if (Math.abs(valueAsNumber) <= most) set(Math.round(valueAsNumber * 100) / 100);
            else desk.said.value = `It goes from −${most} to ${most} ${unit}.`;
          }}
        />
      </label>
    </>
  );
}

/** What the drawing at hand weighs, and what it would. */
function Weights({ desk }: { desk: RelineDesk }): JSX.Element | null {
  const one = desk.here.value;
  if (!one) return <p class="hint">This drawing has no clean-up yet.</p>;
  const weightPx = desk.weightPxOf(one);
  const keysPx = desk.keysPx(one.level);
  const change = desk.changeOf(one);
  const isKeys = desk.wish.value.how === 'keys';
  return (
    <p>
      {weightPx !== undefined && (
        <>
          Its line is {weightPx.toFixed(1)} px
          {change && 'byPx' in change && <> and becomes {(weightPx + change.byPx).toFixed(1)} px</>}.{' '}
        </>
      )}
      {isKeys &&
        (keysPx === undefined
          ? 'The keys are being measured.'
          : `The keys’ is ${keysPx.toFixed(1)} px.`)}{' '}
      {isKeys && change && 'left' in change && change.left}
    </p>
  );
}

function Looking({ desk, open, of }: { desk: RelineDesk; open: number; of: number }): JSX.Element {
  const { looking, range } = desk;
  if (range.value === 'drawing' || looking.value)
    return (
      <div class="progress-line">
        <span>Looking what would break …</span>
        <progress max={of} value={of - open} aria-label="Looked at" />
        {range.value !== 'drawing' && (
          <button
            type="button"
            class="button"
            onClick={() => {
              looking.value = false;
            }}
          >
            Stop
          </button>
        )}
      </div>
    );
  return (
    <p>
      <button
        type="button"
        class="button first"
        onClick={() => {
          looking.value = true;
        }}
      >
        See what it breaks in {of === 1 ? 'it' : `these ${of}`}
      </button>
    </p>
  );
}

interface Row {
  readonly one: Placed;
  readonly told: ReturnType<RelineDesk['foretoldOf']>;
}

const breaksOf = ({ told }: Row) => (told && !('refused' in told) ? told : []);
const brokenCount = (rows: readonly Row[]): number => rows.filter((row) => breaksOf(row).length > 0).length;

function Broken({ session, rows }: { session: Session; rows: readonly Row[] }): JSX.Element | null {
  const told = rows.filter((row) => breaksOf(row).length > 0 || (row.told && 'refused' in row.told));
  if (told.length === 0) return null;
  return (
    <ul class="reline-list">
      {told.map((row) => (
        <BrokenRow key={`${row.one.level.name}/${row.one.drawing.label}`} session={session} row={row} />
      ))}
    </ul>
  );
}

/** A tap goes to the first place, the next tap to the next. */
function BrokenRow({ session, row }: { session: Session; row: Row }): JSX.Element {
  const next = useSignal(0);
  const breaks = breaksOf(row);
  const { one, told } = row;
  return (
    <li>
      <button
        type="button"
        class="finding-face"
        onClick={() => {
          const place = breaks[next.peek() % Math.max(1, breaks.length)];
          next.value = next.peek() + 1;
          goToBox(session, one, place?.box);
        }}
      >
        <Mark drawing={one.drawing} size={16} />
        <span class="unseen">Drawing {one.drawing.label}</span>
        <span>{told && 'refused' in told ? told.refused : breaksWords(breaks)}</span>
      </button>
    </li>
  );
}
