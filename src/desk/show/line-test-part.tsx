/** The shot as it moves: what is chosen, one frame of it, and the file. */
import { type Signal, useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { FlashError } from '../../export/linetest/frames.ts';
import type { LineTestWay, LineTestWish } from '../../export/linetest/plan.ts';
import { isSettled } from '../../note/fix-list.ts';
import { lastFrame } from '../../shot/exposures.ts';
import { Choice } from '../choice.tsx';
import { fixesOf } from '../fixes/fixes-desk.ts';
import { MakeSlip } from '../make-slip.tsx';
import type { Session } from '../session.ts';
import { type LineTestForm, makeLineTest } from './make.ts';
import { movieFormsHere } from './movie-forms.ts';
import { StillFrame } from './still-frame.tsx';

const ways: Readonly<Record<LineTestWay, string>> = {
  clean: 'Clean',
  rough: 'Rough',
  beside: 'Side by side',
  underlay: 'Rough beneath',
};
const buttons: Readonly<Record<LineTestForm, string>> = {
  mp4: 'Movie (MP4)',
  webm: 'Movie (WebM)',
  png: 'Moving picture (PNG)',
};
/** Long edges, px, that are offered below the shot's own. */
const smaller = [2048, 1280, 960, 640];

export function LineTestPart({ session }: { session: Session }): JSX.Element {
  const shot = session.shot.value;
  const way = useSignal<LineTestWay>('clean');
  const level = useSignal('');
  const [numbers, frameNumbers, notes] = [useSignal(false), useSignal(false), useSignal(false)];
  const sizePx = useSignal(0);
  /** Frames a second at which it does not flash, once it would have. */
  const safeHz = useSignal(0);
  const slower = useSignal(false);
  const [paperW, paperH] = shot.sizePx;
  const frames = lastFrame(shot);
  const open = fixesOf(session).rows.value.filter((row) => row.source === 'note' && !isSettled(row));
  const wish: Omit<LineTestWish, 'even'> = {
    way: way.value,
    underlay: session.model.value.underlay,
    level: level.value || undefined,
    numbers: numbers.value,
    frameNumbers: frameNumbers.value,
    notes: notes.value ? open : [],
    longEdgePx: sizePx.value || undefined,
  };
  const perSecond = slower.value && safeHz.value > 0 ? Math.min(shot.fps, safeHz.value) : shot.fps;
  if (frames === 0)
    return (
      <section aria-labelledby="line-test-title">
        <h3 id="line-test-title">Line test</h3>
        <p class="hint">
          No drawing stands on the exposure sheet yet. Say when each one is shown, and it runs.
        </p>
      </section>
    );
  return (
    <section aria-labelledby="line-test-title">
      <h3 id="line-test-title">Line test</h3>
      <p class="hint">
        {frames === 1 ? 'One frame' : `${frames} frames`} at {rounded(shot.fps)} a second,{' '}
        {rounded(frames / shot.fps)} s, as the exposure sheet has it.
      </p>
      <div class="show-choices">
        <div class="choice">
          <Choice
            name="Drawings"
            words={ways}
            now={way.value}
            choose={(value) => {
              way.value = value;
            }}
          />
          <div role="group" aria-label="Burnt in">
            <p class="choice-name">Burnt in</p>
            <div class="choice-row tight">
              <Switch on={numbers} label="Drawing numbers" />
              <Switch on={frameNumbers} label="Frame numbers" />
              <Switch on={notes} label={`Open notes (${open.length})`} disabled={open.length === 0} />
            </div>
          </div>
          <div class="show-sizes">
            <label>
              <span>Size</span>
              <select
                value={String(sizePx.value)}
                onChange={(event) => {
                  sizePx.value = Number(event.currentTarget.value);
                }}
              >
                <option value="0">{`As drawn, ${paperW} × ${paperH}`}</option>
                {smaller
                  .filter((edge) => edge < Math.max(paperW, paperH))
                  .map((edge) => (
                    <option key={edge} value={String(edge)}>
                      {`${edge} px ${paperW >= paperH ? 'wide' : 'high'}`}
                    </option>
                  ))}
              </select>
            </label>
            {shot.levels.length > 1 && (
              <label>
                <span>Levels</span>
                <select
                  value={level.value}
                  onChange={(event) => {
                    level.value = event.currentTarget.value;
                  }}
                >
                  <option value="">All together</option>
                  {shot.levels.map(({ name }) => (
                    <option key={name} value={name}>
                      {`${name} alone`}
                    </option>
                  ))}
                </select>
              </label>
            )}
          </div>
        </div>
        <StillFrame session={session} wish={wish} />
      </div>
      <MakeSlip safe="Nothing was changed." label="Hand out the line test">
        {(make) => (
          <Forms
            session={session}
            wish={wish}
            safeHz={safeHz}
            slower={slower}
            make={(form) =>
              make('the line test', (options) =>
                makeLineTest(session, form, wish, perSecond, options).catch((error: unknown) => {
                  if (error instanceof FlashError) safeHz.value = error.safeHz;
                  throw error;
                }),
              )
            }
          />
        )}
      </MakeSlip>
    </section>
  );
}

const rounded = (value: number): string => String(Math.round(value * 100) / 100);

function Switch({
  on,
  label,
  disabled = false,
}: {
  on: Signal<boolean>;
  label: string;
  disabled?: boolean;
}): JSX.Element {
  return (
    <button
      type="button"
      aria-pressed={on.value}
      disabled={disabled}
      onClick={() => {
        on.value = !on.value;
      }}
    >
      {label}
    </button>
  );
}

interface FormsProps {
  readonly session: Session;
  readonly wish: Omit<LineTestWish, 'even'>;
  readonly safeHz: Signal<number>;
  readonly slower: Signal<boolean>;
  readonly make: (form: LineTestForm) => void;
}

function Forms({ session, wish, safeHz, slower, make }: FormsProps): JSX.Element {
  const { fps, sizePx } = session.shot.value;
  const forms = useSignal<readonly LineTestForm[] | undefined>(undefined);
  const scale = Math.min(1, (wish.longEdgePx ?? Infinity) / Math.max(...sizePx));
  const width = Math.round(sizePx[0] * scale) * (wish.way === 'beside' ? 2 : 1);
  const height = Math.round(sizePx[1] * scale);
  useEffect(() => {
    let gone = false;
    movieFormsHere(width, height).then(
      (found) => {
        if (!gone) forms.value = [...found, 'png'];
      },
      () => {
        if (!gone) forms.value = ['png'];
      },
    );
    return () => {
      gone = true;
    };
  }, [forms, width, height]);
  return (
    <>
      {safeHz.value > 0 && safeHz.value < fps && (
        <p class="hint">
          Flashing pictures can bring on seizures in people with photosensitive epilepsy. The limit is that of
          WCAG 2.2 (2.3.1); it is no medical promise.
        </p>
      )}
      {forms.value?.length === 1 && (
        <p class="hint">
          This browser encodes no movie of that size. The moving picture plays in any browser.
        </p>
      )}
      <div class="out-ways choice">
        {forms.value?.map((form) => (
          <button key={form} type="button" onClick={() => make(form)}>
            {buttons[form]}
          </button>
        ))}
        {safeHz.value > 0 && safeHz.value < fps && (
          <Switch on={slower} label={`Slower, ${rounded(safeHz.value)} a second`} />
        )}
      </div>
    </>
  );
}
