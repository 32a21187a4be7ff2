/** How long the drawing is held, where it starts, and putting it on the sheet or taking it off. */
import type { JSX } from 'preact';
import { exposureAt, hold, lastFrame } from '../../shot/exposures.ts';
import type { Exposure } from '../../shot/model.ts';
import { exposureEdit } from '../edits.ts';
import { allOn, withInserted, withRemoved, withStart, withSwapped } from '../sheet-edit.ts';
import type { EditorProps } from './props.ts';
import { Stepper } from './stepper.tsx';

export function ExposureEditor({ session, level, drawing }: EditorProps): JSX.Element {
  const { label } = drawing;
  const { frame } = session.model.value;
  const sheet = level.exposures;
  const standing = exposureAt(level, frame);
  const exposure = standing?.drawing === label ? standing : undefined;
  const at = exposure ? sheet.indexOf(exposure) : -1;
  /** Makes the edit, and finds the exposure again where it went (`index` on the new sheet). */
  const set = (edited: readonly Exposure[], says: string, index = at): void => {
    session.edit(exposureEdit(level, edited, says));
    const there = edited[index];
    if (there) session.act({ do: 'frame', frame: there.frame });
  };
  const next = exposure ? exposure.frame + exposure.length : frame || lastFrame(session.shot.value) + 1;
  const putOn = (): void => {
    const edited = withInserted(sheet, label, next, 2);
    set(
      edited,
      `${label} is on the sheet at frame ${next}`,
      edited.findIndex((e) => e.frame === next),
    );
  };
  return (
    <fieldset class="choice">
      <legend>Exposure</legend>
      {exposure ? (
        <>
          <Stepper
            words="held"
            value={exposure.length}
            less="Hold one frame shorter"
            field="Frames held"
            more="Hold one frame longer"
            least={1}
            set={(length) => set(hold(sheet, exposure.frame, length), `${label} is held ${length}`)}
          />
          <Stepper
            words="from frame"
            value={exposure.frame}
            less="Start one frame earlier"
            field="First frame"
            more="Start one frame later"
            least={at > 0 ? (sheet[at - 1]?.frame ?? 0) + 1 : 1}
            set={(start) => set(withStart(sheet, at, start), `${label} starts at frame ${start}`)}
          />
        </>
      ) : (
        <p class="hint">This drawing is not on the sheet here.</p>
      )}
      <div class="choice-row tight">
        <button type="button" onClick={putOn}>
          {exposure ? 'Again after this' : 'Put on the sheet'}
        </button>
        <button
          type="button"
          disabled={!exposure}
          onClick={() => set(withRemoved(sheet, at), `${label} is off the sheet at frame ${frame}`, -1)}
        >
          Take off
        </button>
        <button
          type="button"
          disabled={at < 1}
          onClick={() => set(withSwapped(sheet, at - 1), `${label} comes one drawing earlier`, at - 1)}
        >
          Move up
        </button>
        <button
          type="button"
          disabled={at < 0 || at === sheet.length - 1}
          onClick={() => set(withSwapped(sheet, at), `${label} comes one drawing later`, at + 1)}
        >
          Move down
        </button>
        <button type="button" onClick={() => set(allOn(sheet, 1), 'Everything is on ones')}>
          All on ones
        </button>
        <button type="button" onClick={() => set(allOn(sheet, 2), 'Everything is on twos')}>
          All on twos
        </button>
      </div>
      {level.exposuresGuessed && (
        <p class="hint">These exposures are a guess: in order, on twos. No sheet came with the drawings.</p>
      )}
    </fieldset>
  );
}
