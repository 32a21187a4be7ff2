/** The strip over the pegs: the settings of what is in force. One at a time, none most of the time. */
import type { JSX } from 'preact';
import { CommandButton } from './command-button.tsx';
import { Icon } from './icons.tsx';
import { neighboursMost } from './model.ts';
import { RollStrip } from './roll-strip.tsx';
import { useSession } from './session-context.ts';
import { Slide } from './slide.tsx';
import { UnexposedStrip } from './unexposed.tsx';

const names: Readonly<Record<string, string>> = {
  underlay: 'Rough under clean',
  wipe: 'Wipe',
  neighbours: 'Neighbours showing through',
  paper: 'Turn and zoom',
  roll: 'Roll to and fro',
  unexposed: 'Not on the sheet',
};

export function Strip(): JSX.Element | null {
  const session = useSession();
  const open = session.strip.value;
  const bodies: Readonly<Record<string, () => JSX.Element>> = {
    underlay: Underlay,
    wipe: Wipe,
    neighbours: Neighbours,
    paper: PaperMoves,
    roll: RollStrip,
    unexposed: UnexposedStrip,
  };
  const Body = open === undefined ? undefined : bodies[open];
  if (!Body || open === undefined) return null;
  return (
    <div class="strip" role="group" aria-label={names[open]}>
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
      label="Rough shows"
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
      label="Wipe at"
      value={percent}
      min={0}
      max={100}
      step={1}
      says={`${percent} %`}
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
