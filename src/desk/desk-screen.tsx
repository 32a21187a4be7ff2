/** The desk: the paper, the exposure sheet on one side, the tools on the other, the pegs below. */
import { useSignal } from '@preact/signals';
import type { ComponentChildren, JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { Shelf } from '../shelf/types.ts';
import type { Shot } from '../shot/model.ts';
import { aloneOf, listenAtEdges, setAlone } from './alone.ts';
import { arrive } from './arrive.ts';
import type { Clock } from './clock.ts';
import { ExposureSheet } from './exposure-sheet.tsx';
import { overlaysOn } from './extensions.ts';
import { keepFindings } from './findings.ts';
import { HelpSheet } from './help-sheet.tsx';
import { Icon } from './icons.tsx';
import { listenToKeys } from './keys.ts';
import { Line } from './line.tsx';
import { Notices } from './notices.tsx';
import { DrawingNumber } from './number.tsx';
import { PanelButtons } from './panel-buttons.tsx';
import { Paper } from './paper.tsx';
import { Pegs } from './pegs.tsx';
import { rememberLast } from './quick-flip.ts';
import { SavedSign } from './saved-sign.tsx';
import { openSession, type Session } from './session.ts';
import { SessionContext } from './session-context.ts';
import { SidePanel } from './side-panel.tsx';
import { closeStripsThatAreOver } from './strip-over.ts';
import { Tools } from './tools.tsx';
import { WholePanel } from './whole-panel.tsx';
import './desk.css';
import './exposure-sheet.css';
import './tools.css';
import './panels.css';
import './help.css';
import './notes/notes-panel.tsx';
import './fixes/register.tsx';
import './retakes/register.tsx';
import './progress/register.tsx';
import './ready/register.tsx';
import './show/register.tsx';
import './reline/register.tsx';
import './edit/edit-panel.tsx';
import './checks/register.tsx';
import './path/register.tsx';
import { sentenceOf } from '../error/sentence.ts';

export interface DeskScreenProps {
  readonly shelf: Shelf;
  readonly clock: Clock;
  readonly shotId: string;
  /** Told of the session while it is open, for the shell (updates wait for its hand and its writes). */
  readonly onSession: (session: Session | undefined) => void;
  /** Takes files in as newer takes of a shot; the shell's. */
  readonly onTakes: (files: readonly File[], shot: Shot) => void;
  /** How this tablet stands with the studio; the shell's. */
  readonly sign: ComponentChildren;
}

export function DeskScreen({ shelf, clock, shotId, onSession, onTakes, sign }: DeskScreenProps): JSX.Element {
  const session = useSignal<Session | undefined>(undefined);
  const trouble = useSignal('');
  useEffect(() => {
    let gone = false;
    let opened: Session | undefined;
    openSession(shelf, clock, shotId).then(
      (found) => {
        if (gone) {
          void found?.close();
          return;
        }
        opened = found;
        if (found) {
          found.takeIn.value = (files) => onTakes(files, found.shot.peek());
          arrive(found);
        }
        session.value = found;
        onSession(found);
        if (!found) trouble.value = 'This shot is not on the shelf of this tablet any more.';
      },
      (error: unknown) => {
        trouble.value = sentenceOf(
          error,
          'The shot could not be opened; it is safe on this tablet. Open it again.',
        );
      },
    );
    return () => {
      gone = true;
      onSession(undefined);
      void opened?.close();
    };
  }, [shelf, clock, shotId, onSession, onTakes, session, trouble]);

  if (trouble.value) {
    return (
      <main class="desk-trouble">
        <h1>The desk is empty</h1>
        <p role="alert">{trouble}</p>
        <a class="button" href="#/">
          Back to the shelf
        </a>
      </main>
    );
  }
  if (!session.value) return <main class="desk" aria-busy="true" />;
  return (
    <SessionContext.Provider value={session.value}>
      <OpenDesk session={session.value} sign={sign} />
    </SessionContext.Provider>
  );
}

function OpenDesk({ session, sign }: { session: Session; sign: ComponentChildren }): JSX.Element {
  const place = useRef<HTMLElement>(null);
  const alone = aloneOf(session).value;
  useEffect(() => listenToKeys(session), [session]);
  useEffect(() => rememberLast(session), [session]);
  useEffect(() => closeStripsThatAreOver(session), [session]);
  useEffect(() => keepFindings(session), [session]);
  useEffect(() => {
    const desk = place.current;
    return alone && desk ? listenAtEdges(session, desk) : undefined;
  }, [alone, session]);
  useEffect(() => session.stage.value?.edgeToEdge(alone), [alone, session.stage.value]);
  useEffect(() => {
    const leaving = (): void => void session.flush();
    const hidden = (): void => {
      if (document.visibilityState === 'hidden') leaving();
    };
    addEventListener('pagehide', leaving);
    document.addEventListener('visibilitychange', hidden);
    return () => {
      removeEventListener('pagehide', leaving);
      document.removeEventListener('visibilitychange', hidden);
    };
  }, [session]);
  return (
    <main
      ref={place}
      class={['desk', session.working.value && 'working', alone && 'alone'].filter(Boolean).join(' ')}
      data-grey={greyBeside(session)}
      data-motion={session.model.value.motion}
      data-place={session.placeKept.value ? 'kept' : 'changed'}
    >
      <h1 class="unseen">{session.shot.value.title}</h1>
      {!alone && <ExposureSheet />}
      <header class="head">
        <DrawingNumber />
        <div class="head-words">
          <span class="shot-title" aria-hidden="true">
            {session.shot.value.title}
          </span>
          <SavedSign />
          {sign}
          {overlaysOn('head').map(({ id, Body }) => (
            <Body key={id} session={session} />
          ))}
        </div>
        <Notices />
        <PanelButtons />
      </header>
      <Paper />
      <div class="foot">
        <Line />
        <Tools />
        <Pegs />
      </div>
      {alone && <BackToTools session={session} />}
      <SidePanel />
      <WholePanel />
      {session.helpOpen.value && <HelpSheet />}
    </main>
  );
}

/** For a key or a switch: a finger has every edge. Seen where the grey has room for it, or when it has the focus. */
function BackToTools({ session }: { session: Session }): JSX.Element {
  return (
    <button type="button" class="tool back-to-tools" onClick={() => setAlone(session, false)}>
      <Icon name="upright" />
      Tools
    </button>
  );
}

/** Room for a target beside a paper that fills the screen, CSS px. */
const targetPx = 44;

/** Whether paper alone leaves grey above and below it, or at its sides. */
function greyBeside(session: Session): 'some' | 'none' {
  // Told anew when the screen turns.
  void session.camera.value;
  const [width, height] = session.shot.value.sizePx;
  const zoom = Math.min(innerWidth / width, innerHeight / height);
  const leftPx = Math.max(innerWidth - width * zoom, innerHeight - height * zoom);
  return leftPx >= 2 * targetPx ? 'some' : 'none';
}
