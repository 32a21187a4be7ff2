/**
 * Under the paper: what is flipped on one side, what runs and is held on the other, and below them the edges
 * of the drawings on the pegs.
 */
import type { JSX } from 'preact';
import { CommandButton } from './command-button.tsx';
import { FlipStrip } from './flip-strip.tsx';
import { Icon } from './icons.tsx';
import { flipLabels, type SetKind } from './model.ts';
import { useSession } from './session-context.ts';

export function Pegs(): JSX.Element {
  const session = useSession();
  const running = session.model.value.motion === 'play';
  return (
    <div class="pegs" role="group" aria-label="Flipping">
      <Sets />
      <div class="hand" role="group" aria-label="Running and holding">
        <CommandButton id="pick" class="worded">
          <Icon name="fingers" /> Hold
        </CommandButton>
        <CommandButton id="roll" class="worded">
          <Icon name="roll" /> Roll
        </CommandButton>
        <CommandButton id="play" class="worded">
          <Icon name={running ? 'halt' : 'run'} /> Play
        </CommandButton>
      </div>
      <FlipStrip />
    </div>
  );
}

function Sets(): JSX.Element {
  const session = useSession();
  /** In notation and in words; each step along the row adds drawings. */
  const faces: Readonly<Record<SetKind, JSX.Element>> = {
    keys: (
      <>
        <Icon name="circled" /> Keys
      </>
    ),
    'keys and breakdowns': (
      <>
        <Icon name="underlined" /> + breakdowns
      </>
    ),
    all: <>All</>,
    held: <>Held</>,
  };
  const empty = flipLabels(session.shot.value, session.model.value).length === 0;
  return (
    <div class="sets" role="group" aria-label="Flip set">
      {(Object.keys(faces) as SetKind[]).map((set) => (
        <CommandButton key={set} id={`set ${set}`} class="worded">
          {faces[set]}
        </CommandButton>
      ))}
      {empty && <EmptySet set={session.model.value.set} />}
    </div>
  );
}

function EmptySet({ set }: { set: SetKind }): JSX.Element {
  const session = useSession();
  return set === 'held' ? (
    <p class="empty-set">No drawing is held. Go to one and press “Hold”.</p>
  ) : (
    <p class="empty-set">
      No drawing has such a role yet.{' '}
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
