/** Rolling the held drawings: by hand along a strip, or by themselves at a rate. */
import type { JSX } from 'preact';
import { CommandButton } from './command-button.tsx';
import { flipLabels } from './model.ts';
import { useSession } from './session-context.ts';
import { Slide } from './slide.tsx';

export function RollStrip(): JSX.Element {
  const session = useSession();
  const { model } = session;
  const labels = flipLabels(session.shot.value, model.value);
  const at = Math.max(0, labels.indexOf(model.value.drawing));
  const rate = model.value.rollPerSecond;
  return (
    <>
      {model.value.set === 'held' && (
        <Slide
          label="By hand"
          value={at}
          min={0}
          max={Math.max(0, labels.length - 1)}
          step={1}
          says={labels[at] ?? '–'}
          set={(value) => session.act({ do: 'drawing', label: labels[value] ?? model.value.drawing })}
        />
      )}
      <CommandButton id="roll" />
      <Slide
        label="By itself"
        value={rate}
        min={1}
        max={12}
        step={1}
        says={`${rate} a second`}
        set={(value) => session.act({ do: 'roll rate', perSecond: value })}
      />
      <CommandButton id="let go" class="worded">
        Let all go
      </CommandButton>
    </>
  );
}
