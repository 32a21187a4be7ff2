/**
 * The line under the paper: what is flipped, what is being looked at, and the one thing that is being set. It is never
 * higher or lower than it is, so that nothing that comes and goes in it moves the paper.
 */
import { useComputed } from '@preact/signals';
import type { JSX } from 'preact';
import { drawingOf } from '../shot/drawing-ref.ts';
import { cleanOf } from '../shot/takes.ts';
import { aloneOf } from './alone.ts';
import { CommandButton } from './command-button.tsx';
import { overlaysOn } from './extensions.ts';
import { Icon } from './icons.tsx';
import { flipLabels, type SetKind } from './model.ts';
import { useSession } from './session-context.ts';
import { Strip, stripIsOpen } from './strips.tsx';
import { WayWords } from './way-words.tsx';

export function Line(): JSX.Element {
  const session = useSession();
  const alone = aloneOf(session).value;
  return (
    <div class="line">
      {!alone && <Sets />}
      <div class="says">
        <Missing />
        <Mirrored />
        <InPlace />
      </div>
    </div>
  );
}

/** A note in the works; beside it settings, else a legend, else words. */
function InPlace(): JSX.Element {
  const session = useSession();
  const offers = overlaysOn('line').map((overlay) => ({ ...overlay, asks: overlay.wanted?.(session) }));
  const first = offers.find(({ asks }) => asks === 'first');
  const other = offers.find(({ asks }) => asks === 'else');
  const set = stripIsOpen(session.strip.value);
  // Which takes lie there is said beside what is set, as nothing else says it.
  const named = set && session.laid.value?.words(session.model.value.way) !== undefined;
  return (
    <>
      {named && <WayWords />}
      {first && <first.Body key={first.id} session={session} />}
      {set ? <Strip /> : other ? <other.Body key={other.id} session={session} /> : !first && <WayWords />}
    </>
  );
}

/** What the paper cannot show, in words. */
function Missing(): JSX.Element | null {
  const session = useSession();
  const words = useComputed(() => {
    if (session.paperLost.value)
      return 'The tablet took the paper away for a moment; it comes back by itself.';
    const here = session.onPaper.value;
    if (!here) return '';
    if (!here.complete) return 'Opening the drawing …';
    const drawing = drawingOf(session.shot.value, here);
    const { way } = session.model.value;
    if (!drawing) return 'No drawing at this frame.';
    if (session.laid.value?.words(way)) return '';
    if (!cleanOf(drawing) && way !== 'rough') return 'No clean-up yet';
    if (!drawing.rough && way !== 'clean') return 'No rough for this drawing';
    return '';
  });
  return words.value ? <p class="missing">{words}</p> : null;
}

/** A mirrored drawing looks right: it must be said. */
function Mirrored(): JSX.Element | null {
  return useSession().camera.value?.mirrored ? (
    <p class="missing mirrored">
      <Icon name="mirror" /> Mirrored
    </p>
  ) : null;
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
    held: <>In the hand</>,
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
    <p class="empty-set">None is in the hand. Go to one and press “Hand”.</p>
  ) : (
    <p class="empty-set">
      None has such a role yet.{' '}
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
