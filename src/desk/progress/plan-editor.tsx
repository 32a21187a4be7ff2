/** Due date, working week, people, and what is counted on until there is data: kept with the shot. */
import type { JSX } from 'preact';
import type { Plan } from '../../note/entry.ts';
import { planOf } from '../../note/outlook.ts';
import { usualDrawingsADay, usualMinutesADrawing, type Weekday } from '../../note/pace.ts';
import { Stepper } from '../edit/stepper.tsx';
import type { Session } from '../session.ts';
import { DueField } from './due-field.tsx';
import { paceWords } from './words.ts';

/** Monday first (ISO 8601); day 4 of the count is a Monday. */
const weekdays = ([1, 2, 3, 4, 5, 6, 7] as const).map((weekday) => ({
  weekday,
  name: (style: 'short' | 'long') =>
    new Date((3 + weekday) * 86_400_000).toLocaleDateString(undefined, { weekday: style, timeZone: 'UTC' }),
}));

/** As an entry takes it. */
const mostPeople = 99;
/** Hours of drawing in a working day (common practice, no source). */
const usualHours = 8;
const byMinutes = (usualHours * 60) / usualMinutesADrawing;

export function PlanEditor({ session, plan }: { session: Session; plan: Plan }): JSX.Element {
  const allowed = session.ledger.may(plan);
  /** The latest holds as a whole, so it says again what was said a moment ago, shown already or not. */
  const set = (change: Partial<Plan>, says: string): void =>
    void session.say(says, [{ ...planOf(session.ledger.entries.peek()), ...change }]);
  const toggled = (weekday: Weekday): Weekday[] =>
    weekdays
      .map((each) => each.weekday)
      .filter((each) => plan.workingDays.includes(each) !== (each === weekday));
  return (
    <fieldset class="choice plan" disabled={!allowed.may}>
      <legend>Plan</legend>
      {!allowed.may && <p class="hint">{allowed.reason}</p>}
      <label class="field due-field">
        Due by the evening of
        <DueField due={plan.due} set={(due) => set({ due }, due ? `Due on ${due}` : 'No due date')} />
      </label>
      <p class="plan-line" id="working-days">
        Working days
      </p>
      <div class="choice-row tight weekdays" role="group" aria-labelledby="working-days">
        {weekdays.map(({ weekday, name }) => {
          const days = toggled(weekday);
          return (
            <button
              key={weekday}
              type="button"
              aria-pressed={plan.workingDays.includes(weekday)}
              title={name('long')}
              disabled={days.length === 0}
              onClick={() => set({ workingDays: days }, 'Working days changed')}
            >
              {name('short')}
            </button>
          );
        })}
      </div>
      <Stepper
        words="people at it"
        value={plan.people}
        less="One person fewer"
        field="People at work on this shot"
        more="One person more"
        least={1}
        set={(asked) => {
          const people = Math.min(mostPeople, asked);
          if (people !== plan.people) set({ people }, `${people} at work on this shot`);
        }}
      />
      <p class="plan-line" id="counted-on">
        Until there is data, each person does
      </p>
      <div class="choice-row tight" role="group" aria-labelledby="counted-on">
        {[
          [usualDrawingsADay, `${usualDrawingsADay} a day`] as const,
          [
            byMinutes,
            `one in ${usualMinutesADrawing} minutes: ${paceWords(byMinutes)} in ${usualHours} hours`,
          ] as const,
        ].map(([drawingsADay, words]) => (
          <button
            key={drawingsADay}
            type="button"
            aria-pressed={plan.drawingsADay === drawingsADay}
            onClick={() => set({ drawingsADay }, `Counted on ${paceWords(drawingsADay)} a day`)}
          >
            {words}
          </button>
        ))}
      </div>
      <p class="hint">Both are common practice; your own drawings soon count for more.</p>
    </fieldset>
  );
}
