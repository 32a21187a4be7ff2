/** Today: what waits on all the shots kept here, in one list, with no network. */
import { useSignal } from '@preact/signals';
import { Fragment, type JSX } from 'preact';
import { useEffect, useMemo } from 'preact/hooks';
import * as v from 'valibot';
import { arriveAt } from '../../desk/arrive.ts';
import { Icon } from '../../desk/icons.tsx';
import { Mark } from '../../desk/mark.tsx';
import { dayWords, forecastWords, paceWords } from '../../desk/progress/words.ts';
import { person } from '../../desk/table.ts';
import { WaitMarks, waitWords } from '../../desk/wait-marks.tsx';
import { drawingKey } from '../../shot/drawing-ref.ts';
import { cleanOf } from '../../shot/takes.ts';
import type { Home } from '../home.ts';
import { hrefOf } from '../router.ts';
import { Thumb } from '../thumb.tsx';
import { readToday } from './read-today.ts';
import { byDueDay, type Choice, choiceSchema, type Line, lists, type ShotToday } from './today.ts';
import './today.css';

const listWords: Readonly<Record<Choice['list'], string>> = {
  mend: 'To mend',
  look: 'To look at',
  shots: 'Every shot',
};
const listOf = { artist: 'mend', director: 'look', assistant: 'shots' } as const;
const nothing: Readonly<Record<Choice['list'], string>> = {
  mend: 'Nothing is to be mended.',
  look: 'Nothing waits to be looked at.',
  shots: 'No shot is on the shelf.',
};
const keptAs = 'today';

export function TodayScreen({ home }: { home: Home }): JSX.Element {
  const today = useMemo(() => readToday(home), [home]);
  useEffect(() => today.stop, [today]);
  const choice = useSignal<Choice>({ list: listOf[person.value.role], shot: '' });
  useEffect(() => {
    void home.shelf.value<unknown>(keptAs).then((kept) => {
      const read = v.safeParse(choiceSchema, kept);
      if (read.success) choice.value = read.output;
    }, home.tell);
  }, [home, choice]);
  const choose = (change: Partial<Choice>): void => {
    choice.value = { ...choice.peek(), ...change };
    void home.shelf.keepValue(keptAs, choice.peek()).catch(home.tell);
  };
  const all = byDueDay(today.shots.value);
  const { list } = choice.value;
  const shot = all.some((each) => each.shot.id === choice.value.shot) ? choice.value.shot : '';
  const shown = all.filter((each) => shot === '' || each.shot.id === shot);
  const counts = {
    mend: shown.reduce((sum, { mend }) => sum + mend.length, 0),
    look: shown.reduce((sum, { look }) => sum + look.length, 0),
    shots: shown.length,
  };
  return (
    <main class="today">
      <header class="shelf-head">
        <h1>Today</h1>
        <a class="button" href="#/">
          <Icon name="shelf" /> Shelf
        </a>
      </header>
      <div class="today-choice">
        <div class="choice choice-row" role="group" aria-label="Which list">
          {lists.map((which) => (
            <button
              key={which}
              type="button"
              aria-pressed={list === which}
              onClick={() => choose({ list: which })}
            >
              {listWords[which]} ({counts[which]})
            </button>
          ))}
        </div>
        {all.length > 1 && (
          <label class="field">
            <span class="unseen">Of which shot</span>
            <select value={shot} onChange={({ currentTarget }) => choose({ shot: currentTarget.value })}>
              <option value="">All shots</option>
              {all.map((each) => (
                <option key={each.shot.id} value={each.shot.id}>
                  {each.shot.title}
                </option>
              ))}
            </select>
          </label>
        )}
      </div>
      {today.left.value > 0 ? (
        <p role="status">Reading the shelf, {today.left} to go …</p>
      ) : (
        counts[list] === 0 && (
          <p role="status">
            {list === 'mend' && shown.some(({ unchecked }) => unchecked > 0)
              ? 'Nothing is known that is to be mended.'
              : nothing[list]}
          </p>
        )
      )}
      {list === 'mend' && <Unchecked shots={shown} />}
      {shown.map((each) =>
        list === 'shots' ? (
          <ShotState key={each.shot.id} of={each} />
        ) : (
          <Lines key={each.shot.id} home={home} of={each} list={list} />
        ),
      )}
    </main>
  );
}

/** Nothing found says nothing of what was not measured. */
function Unchecked({ shots }: { shots: readonly ShotToday[] }): JSX.Element | null {
  const open = shots.filter(({ unchecked }) => unchecked > 0);
  if (open.length === 0) return null;
  return (
    <p class="today-unchecked">
      Not checked on this tablet yet; that begins by itself once the shot is open:{' '}
      {open.map(({ shot, unchecked }, n) => (
        <Fragment key={shot.id}>
          {n > 0 && ', '}
          <a href={hrefOf(shot.id)}>{shot.title}</a> (
          {unchecked === 1 ? '1 drawing' : `${unchecked} drawings`})
        </Fragment>
      ))}
      .
    </p>
  );
}

interface LinesProps {
  readonly home: Home;
  readonly of: ShotToday;
  readonly list: 'mend' | 'look';
}

function Lines({ home, of, list }: LinesProps): JSX.Element | null {
  const lines = of[list];
  if (lines.length === 0) return null;
  const { shot, outlook } = of;
  return (
    <section>
      <h2>
        {shot.title}
        {outlook.dueDay !== undefined && <span class="due">due {dayWords(outlook.dueDay)}</span>}
      </h2>
      <ol class="today-lines">
        {lines.map((line) => (
          <DrawingLine
            key={drawingKey(line.at)}
            home={home}
            of={of}
            line={line}
            panel={list === 'look' ? 'retakes' : line.waits.notes > 0 ? 'notes' : 'checks'}
          />
        ))}
      </ol>
    </section>
  );
}

/** More than a line holds; the rest is read at the drawing. */
const mostSaid = 3;

interface DrawingLineProps {
  readonly home: Home;
  readonly of: ShotToday;
  readonly line: Line;
  /** Where on the desk it is done. */
  readonly panel: string;
}

function DrawingLine({ home, of: { shot }, line, panel }: DrawingLineProps): JSX.Element {
  const { at, drawing, waits, says } = line;
  const image = cleanOf(drawing) ?? drawing.rough;
  const [width, height] = shot.sizePx;
  return (
    <li>
      <a class="today-line" href={hrefOf(shot.id)} onClick={() => arriveAt({ shotId: shot.id, at, panel })}>
        <Thumb
          id={image?.sha256 ?? ''}
          aspect={width / height}
          label={`Drawing ${at.drawing}`}
          load={async () => (image ? [await home.shelf.picture(image.sha256, 'thumb')] : [])}
        />
        <Mark drawing={drawing} size={18} />
        <span class="today-words">
          <span>
            {at.level && `${at.level} · `}
            <WaitMarks waits={waits} /> {waitWords(waits)}
          </span>
          {says.slice(0, mostSaid).map((sentence, n) => (
            <span key={`${n} ${sentence}`} class="today-says">
              {sentence}
            </span>
          ))}
          {says.length > mostSaid && <span>and {says.length - mostSaid} more</span>}
        </span>
      </a>
    </li>
  );
}

function ShotState({ of: { shot, outlook, mend, look, hands } }: { of: ShotToday }): JSX.Element {
  const { likely, range } = forecastWords(outlook);
  return (
    <section class="shot-state">
      <h2>
        <a href={hrefOf(shot.id)} onClick={() => arriveAt({ shotId: shot.id, panel: 'progress' })}>
          {shot.title}
        </a>
        {outlook.dueDay !== undefined && <span class="due">due {dayWords(outlook.dueDay)}</span>}
      </h2>
      <p>
        <b>{likely}</b> {range}
      </p>
      {outlook.late.length > 0 && (
        <p>
          <Icon name="warn" /> {outlook.late.length} would be late.
        </p>
      )}
      <p>
        {outlook.done} of {outlook.total} done, {mend.length} to mend, {look.length} to look at;{' '}
        {paceWords(outlook.pace.drawingsADay)} a day.
      </p>
      <p>
        {hands.length === 0
          ? 'Nobody said to have one in clean-up.'
          : hands.map(({ name, drawings }) => `${name} has ${drawings.join(', ')}`).join('; ')}
      </p>
    </section>
  );
}
