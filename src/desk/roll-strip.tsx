/** Rolling the drawings in the hand by themselves, at a rate. By hand they are rolled along their edges. */
import type { JSX } from 'preact';
import { CommandButton } from './command-button.tsx';
import { useSession } from './session-context.ts';
import { Slide } from './slide.tsx';

export function RollStrip(): JSX.Element {
  const session = useSession();
  const rate = session.model.value.rollPerSecond;
  return (
    <>
      <Slide
        label="Rolls by itself"
        value={rate}
        min={1}
        max={12}
        step={1}
        says={`${rate} a second`}
        set={(value) => session.act({ do: 'roll rate', perSecond: value })}
      />
      <CommandButton id="let go" class="worded">
        Put all back
      </CommandButton>
    </>
  );
}
