/** The settings of what is in force, in the line under the paper. One at a time, none most of the time. */
import type { JSX } from 'preact';
import { CommandButton } from './command-button.tsx';
import { Icon } from './icons.tsx';
import { neighboursMost } from './model.ts';
import { PartStrip } from './part-strip.tsx';
import { RollStrip } from './roll-strip.tsx';
import { useSession } from './session-context.ts';
import { Slide } from './slide.tsx';
import { UnexposedStrip } from './unexposed.tsx';
import { layerWords } from './way-words.tsx';

const strips: Readonly<Record<string, readonly [name: string, Body: () => JSX.Element]>> = {
  underlay: ['Rough under clean', Underlay],
  wipe: ['Wipe', Wipe],
  neighbours: ['Neighbours showing through', Neighbours],
  paper: ['Turn and zoom', PaperMoves],
  roll: ['Roll to and fro', RollStrip],
  part: ['Play a part, or slower', PartStrip],
  unexposed: ['Not on the sheet', UnexposedStrip],
};

/** Whether settings stand open. */
export const stripIsOpen = (open: string | undefined): boolean => open !== undefined && open in strips;

export function Strip(): JSX.Element | null {
  const session = useSession();
  const [name, Body] = strips[session.strip.value ?? ''] ?? [];
  if (!Body) return null;
  return (
    <div class="strip" role="group" aria-label={name}>
      <Body />
      <button
        type="button"
        class="tool"
        aria-label="Close these settings"
        onClick={() => {
          session.strip.value = undefined;
        }}
      >
        <Icon name="close" />
      </button>
    </div>
  );
}

function Underlay(): JSX.Element {
  const session = useSession();
  const percent = Math.round(session.model.value.underlay * 100);
  return (
    <Slide
      label={`${layerWords(session, 'rough')} beneath, at`}
      value={percent}
      min={0}
      max={100}
      step={1}
      says={`${percent} %`}
      set={(value) => session.act({ do: 'underlay', opacity: value / 100 })}
    />
  );
}

function Wipe(): JSX.Element {
  const session = useSession();
  const percent = Math.round(session.model.value.wipe * 100);
  return (
    <Slide
      label={`${layerWords(session, 'rough')} left`}
      value={percent}
      min={0}
      max={100}
      step={1}
      says={`${layerWords(session, 'clean').toLowerCase()} right`}
      set={(value) => session.act({ do: 'wipe', at: value / 100 })}
    />
  );
}

function Neighbours(): JSX.Element {
  const session = useSession();
  const { before, after } = session.model.value;
  return (
    <>
      <Slide
        label="Before (blue)"
        value={before}
        min={0}
        max={neighboursMost}
        step={1}
        says={String(before)}
        set={(value) => session.act({ do: 'neighbours', before: value, after })}
      />
      <Slide
        label="After (brown)"
        value={after}
        min={0}
        max={neighboursMost}
        step={1}
        says={String(after)}
        set={(value) => session.act({ do: 'neighbours', before, after: value })}
      />
    </>
  );
}

function PaperMoves(): JSX.Element {
  return (
    <>
      {['farther', 'nearer', 'actual', 'fit', 'turn left', 'turn right', 'upright', 'mirror'].map((id) => (
        <CommandButton key={id} id={id} />
      ))}
    </>
  );
}
