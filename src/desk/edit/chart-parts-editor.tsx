/** Parts of the chart that lie elsewhere than the rest: a place on the drawing, words, a fraction of their own. */
import type { JSX } from 'preact';
import { hasPart, longestPartWords, mostParts } from '../../shot/chart-schema.ts';
import { fractionWords, isFraction, usualFractions } from '../../shot/fraction-words.ts';
import type { Chart, ChartPart, ChartPlace } from '../../shot/model.ts';
import { cleanOf } from '../../shot/takes.ts';
import { askedPlaceOf } from '../asked-place.ts';
import { chartEdit } from '../edits.ts';
import { TypedField } from '../typed-field.tsx';
import { PaperParts } from './paper-parts.ts';
import type { EditorProps } from './props.ts';

/** Ninths of the paper, for a hand that cannot draw round something. */
const ninths = [
  ['upper left', 'top', 'upper right'],
  ['left', 'middle', 'right'],
  ['lower left', 'bottom', 'lower right'],
].flatMap((row, y) => row.map((words, x) => ({ words, x, y })));

interface PartsProps extends EditorProps {
  readonly chart: Chart;
}

export function ChartPartsEditor({ session, level, drawing, chart }: PartsProps): JSX.Element {
  const asked = askedPlaceOf(session);
  const { label } = drawing;
  const parts = chart.parts ?? [];
  const image = cleanOf(drawing) ?? drawing.rough;
  const sizePx = image ? ([image.width, image.height] as const) : session.shot.value.sizePx;
  /** Of the drawing as it stands when it is said: a place may be drawn a while after it was asked for. */
  const set = (change: (parts: readonly ChartPart[]) => readonly ChartPart[], says: string): void => {
    const now = session.shot.peek().levels.find(({ name }) => name === level.name);
    const standing = now?.drawings.find((other) => other.label === label)?.chart;
    if (now && standing)
      session.edit(chartEdit(now, label, { ...standing, parts: change(standing.parts ?? []) }, says));
  };
  const change = (at: number, to: Partial<ChartPart>, says: string): void =>
    set((now) => now.map((part, n) => (n === at ? { ...part, ...to } : part)), says);
  const given = (part: number | undefined, place: ChartPlace): void => {
    if (part !== undefined)
      change(part, { place }, `${parts[part]?.words ?? 'A part'} of ${label} has another place`);
    else
      set(
        (now) => [...now, { place, words: freeWords(now), fraction: chart.fraction }],
        `The chart of ${label} has a part more`,
      );
  };
  const ask = (part: number | undefined): void => {
    asked.value = {
      level: level.name,
      drawing: label,
      part,
      given: (place) => given(part, place),
    };
  };
  const waiting = asked.value?.drawing === label ? asked.value : undefined;
  return (
    <fieldset class="choice">
      <legend>Parts with a fraction of their own</legend>
      <PaperParts session={session} />
      {parts.map((part, n) => (
        <Part
          key={n}
          part={part}
          change={(to, says) => change(n, to, says)}
          taken={(words) =>
            hasPart(
              parts.filter((_, other) => other !== n),
              words,
            )
          }
          refuse={(says) => {
            session.notice.value = { says };
          }}
          again={() => ask(n)}
          remove={() =>
            set((now) => now.filter((_, other) => other !== n), `${part.words} is off the chart of ${label}`)
          }
        />
      ))}
      {waiting ? (
        <>
          <p class="hint" role="status">
            Draw round it on the paper with pen or finger, or straight across it from corner to corner.
          </p>
          <div class="choice-row tight">
            <label class="part-ninth">
              or take
              <select
                value=""
                onChange={({ currentTarget: { value } }) => {
                  const ninth = ninths[Number(value)];
                  asked.value = undefined;
                  if (ninth) given(waiting.part, boxOfNinth(ninth, sizePx));
                }}
              >
                <option value="">a ninth</option>
                {ninths.map(({ words }, n) => (
                  <option key={words} value={n}>
                    {words}
                  </option>
                ))}
              </select>
            </label>
            <button
              type="button"
              onClick={() => {
                asked.value = undefined;
              }}
            >
              Leave it
            </button>
          </div>
        </>
      ) : (
        <button type="button" disabled={parts.length >= mostParts} onClick={() => ask(undefined)}>
          Draw round a part
        </button>
      )}
    </fieldset>
  );
}

interface PartProps {
  readonly part: ChartPart;
  readonly change: (to: Partial<ChartPart>, says: string) => void;
  readonly taken: (words: string) => boolean;
  readonly refuse: (says: string) => void;
  readonly again: () => void;
  readonly remove: () => void;
}

function Part({ part, change, taken, refuse, again, remove }: PartProps): JSX.Element {
  const { words, fraction } = part;
  const setFraction = (to: number): void => change({ fraction: to }, `${words} lies at ${fractionWords(to)}`);
  return (
    <div class="chart-part" role="group" aria-label={`Part ${words}`}>
      <div class="chart-part-head">
        <TypedField
          type="text"
          value={words}
          maxLength={longestPartWords}
          aria-label="What the part is"
          typed={({ value }) => {
            const to = value.trim();
            if (to === '' || to === words) return;
            if (taken(to))
              refuse(`Another part is called ${to}: each needs words of its own. Nothing was changed.`);
            else change({ words: to }, `${words} is now called ${to}`);
          }}
        />
        <label>
          <span class="unseen">Percent of the way</span>
          <TypedField
            type="number"
            min={1}
            max={99}
            step={1}
            value={Math.round(fraction * 1000) / 10}
            aria-label={`Percent of the way of ${words}`}
            typed={({ valueAsNumber: percent }) => {
              if (percent > 0 && percent < 100) setFraction(percent / 100);
            }}
          />
          %
        </label>
      </div>
      <div class="choice-row tight">
        {usualFractions.map(([sign, value]) => (
          <button
            key={sign}
            type="button"
            aria-label={`${words} at ${fractionWords(value)}`}
            aria-pressed={isFraction(fraction, value)}
            onClick={() => setFraction(value)}
          >
            {sign}
          </button>
        ))}
        <button type="button" aria-label={`Draw round ${words} again`} onClick={again}>
          Place
        </button>
        <button type="button" aria-label={`Take ${words} off the chart`} onClick={remove}>
          Off
        </button>
      </div>
    </div>
  );
}

/** `part 1`, `part 2` … until somebody says what it is. */
function freeWords(parts: readonly ChartPart[]): string {
  let n = parts.length + 1;
  while (hasPart(parts, `part ${n}`)) n++;
  return `part ${n}`;
}

function boxOfNinth({ x, y }: { x: number; y: number }, sizePx: readonly [number, number]): ChartPlace {
  const [width, height] = [Math.max(1, Math.floor(sizePx[0] / 3)), Math.max(1, Math.floor(sizePx[1] / 3))];
  return { box: [x * width, y * height, width, height], sizePx };
}
