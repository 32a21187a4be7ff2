/** What the files leave uncertain, all on one screen, with the drawings in question to look at. */
import type { JSX } from 'preact';
import type { Answers, Plan, Question } from '../intake/types.ts';
import type { IntakeRun } from './intake-run.ts';
import { OddFiles } from './odd-files.tsx';
import { Thumb } from './thumb.tsx';

interface QuestionsProps {
  readonly run: IntakeRun;
  readonly plan: Plan;
  readonly answers: Answers;
  readonly close: () => void;
}

/** Enough to see what a question is about; the rest is counted. */
const mostThumbs = 6;

export function Questions({ run, plan, answers, close }: QuestionsProps): JSX.Element {
  return (
    <>
      <p class="intake-first">
        {plan.questions.length === 1 ? 'One thing is' : `${plan.questions.length} things are`} not certain
        from the names alone. The likeliest answer is chosen already.
      </p>
      <ol class="questions">
        {plan.questions.map((question) => (
          <li key={question.id} class="leaf">
            <Asked run={run} question={question} answer={answers.get(question.id) ?? question.guess} />
          </li>
        ))}
      </ol>
      <PlannedShots plan={plan} />
      <OddFiles odd={plan.odd} />
      <div class="ways-on">
        <button type="button" class="button first" onClick={run.goOn}>
          Take them in
        </button>
        <button type="button" class="button" onClick={close}>
          Leave it
        </button>
      </div>
    </>
  );
}

function Asked({
  run,
  question,
  answer,
}: {
  run: IntakeRun;
  question: Question;
  answer: string;
}): JSX.Element {
  const shown = question.files.slice(0, mostThumbs);
  const rest = question.files.length - shown.length;
  return (
    <fieldset class="question">
      <legend>{question.text}</legend>
      <div class="question-thumbs">
        {shown.map((file) => (
          <figure key={file.path}>
            <Thumb
              id={file.path}
              aspect={16 / 9}
              label={file.path}
              load={async (signal) => [await run.thumb(file, signal)]}
            />
            <figcaption>{file.path.split('/').at(-1)}</figcaption>
          </figure>
        ))}
        {rest > 0 && <span class="more">and {rest} more</span>}
      </div>
      <div class="question-choices">
        {question.choices.map(({ value, text }) => (
          <label key={value}>
            <input
              type="radio"
              name={question.id}
              value={value}
              checked={answer === value}
              onChange={() => run.answer(question.id, value)}
            />
            {text}
          </label>
        ))}
      </div>
    </fieldset>
  );
}

function PlannedShots({ plan }: { plan: Plan }): JSX.Element {
  return (
    <section class="leaf planned" aria-labelledby="planned">
      <h2 id="planned">What will stand on the shelf</h2>
      <ul role="status">
        {plan.shots.map((shot) => {
          const drawings = shot.levels.flatMap((level) => level.drawings);
          const clean = drawings.filter(({ cleans }) => cleans.length > 0).length;
          const rough = drawings.filter((drawing) => drawing.rough).length;
          return (
            <li key={shot.title}>
              <b>{shot.title}</b>{' '}
              <span>
                {drawings.length === 1 ? '1 drawing' : `${drawings.length} drawings`}, {rough} rough, {clean}{' '}
                clean
              </span>
            </li>
          );
        })}
      </ul>
    </section>
  );
}
