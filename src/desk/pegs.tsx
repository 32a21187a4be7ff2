/**
 * The peg bar under the paper: a flat peg for the drawing before, the round one to run, a flat one for the
 * drawing after; the flip sets on one side, the hand's drawings on the other.
 */
import type { JSX } from 'preact';
import type { Role } from '../shot/model.ts';
import { CommandButton } from './command-button.tsx';
import { Icon } from './icons.tsx';
import { Mark } from './mark.tsx';
import { flipLabels, heldOn, type SetKind } from './model.ts';
import { useSession } from './session-context.ts';
import { drawingLabelled, levelNamed } from './sheet.ts';

export function Pegs(): JSX.Element {
  const session = useSession();
  const running = session.model.value.motion === 'play';
  return (
    <div class="pegs" role="group" aria-label="Flipping">
      <Sets />
      <div class="peg-bar">
        <CommandButton id="back" class="peg flat" />
        <CommandButton id="play" class="peg round">
          <Icon name={running ? 'halt' : 'run'} />
        </CommandButton>
        <CommandButton id="on" class="peg flat" />
      </div>
      <Hand />
    </div>
  );
}

const example = (label: string, role: Role): JSX.Element => (
  <Mark drawing={{ label, role, takes: [] }} size={13} />
);

/** The sets in notation and in words; each step down the list adds drawings. */
const setFaces: Readonly<Record<SetKind, () => JSX.Element>> = {
  keys: () => <>{example('1', 'key')} Keys</>,
  'keys and breakdowns': () => <>{example('5', 'breakdown')} + breakdowns</>,
  all: () => <>All</>,
  held: () => <>Held</>,
};

function Sets(): JSX.Element {
  const session = useSession();
  const empty = flipLabels(session.shot.value, session.model.value).length === 0;
  return (
    <div class="sets" role="group" aria-label="Flip set">
      {(Object.keys(setFaces) as SetKind[]).map((set) => (
        <CommandButton key={set} id={`set ${set}`} class="worded">
          {setFaces[set]()}
        </CommandButton>
      ))}
      {empty && <EmptySet set={session.model.value.set} />}
    </div>
  );
}

function EmptySet({ set }: { set: SetKind }): JSX.Element {
  const session = useSession();
  return set === 'held' ? (
    <p class="empty-set">No drawing is held. Go to one and press “Hold this drawing”.</p>
  ) : (
    <p class="empty-set">
      No drawing has a role yet.{' '}
      <button
        type="button"
        class="in-text"
        onClick={() => {
          session.panel.value = 'edit';
        }}
      >
        Give roles
      </button>
    </p>
  );
}

/** The drawings between the fingers. */
function Hand(): JSX.Element {
  const session = useSession();
  const level = levelNamed(session.shot.value, session.model.value.level);
  const held = heldOn(session.model.value).flatMap((label) => drawingLabelled(level, label) ?? []);
  return (
    <div class="hand" role="group" aria-label="Held drawings">
      {held.map((drawing) => (
        <button
          key={drawing.label}
          type="button"
          class="tool held"
          aria-label={`Held: drawing ${drawing.label}`}
          aria-current={session.onPaper.value?.drawing === drawing.label}
          onClick={() => session.act({ do: 'drawing', label: drawing.label })}
        >
          <Mark drawing={drawing} size={14} />
        </button>
      ))}
      <CommandButton id="pick" class="worded">
        <Icon name="fingers" /> Hold
      </CommandButton>
      <CommandButton id="roll" class="worded">
        <Icon name="roll" /> Roll
      </CommandButton>
    </div>
  );
}
