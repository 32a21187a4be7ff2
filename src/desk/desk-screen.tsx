/** The desk: the paper, the exposure sheet on one side, the tools on the other, the pegs below. */
import { useSignal } from '@preact/signals';
import type { ComponentChildren, JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import type { Shelf } from '../shelf/types.ts';
import type { Shot } from '../shot/model.ts';
import type { Clock } from './clock.ts';
import { ExposureSheet } from './exposure-sheet.tsx';
import { overlaysOn } from './extensions.ts';
import { HelpSheet } from './help-sheet.tsx';
import { listenToKeys } from './keys.ts';
import { LevelPicker } from './level-picker.tsx';
import { Notices } from './notices.tsx';
import { DrawingNumber } from './number.tsx';
import { PanelButtons } from './panel-buttons.tsx';
import { Paper } from './paper.tsx';
import { Pegs } from './pegs.tsx';
import { SavedSign } from './saved-sign.tsx';
import { openSession, type Session } from './session.ts';
import { SessionContext } from './session-context.ts';
import { SidePanel } from './side-panel.tsx';
import { Strip } from './strips.tsx';
import { Tools } from './tools.tsx';
import { WayWords } from './way-words.tsx';
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
import './edit/edit-panel.tsx';
import './checks/register.tsx';
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
        if (found) found.takeIn.value = (files) => onTakes(files, found.ledger.base.peek());
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
  useEffect(() => listenToKeys(session), [session]);
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
      class={session.working.value ? 'desk working' : 'desk'}
      data-motion={session.model.value.motion}
      data-place={session.placeKept.value ? 'kept' : 'changed'}
    >
      <h1 class="unseen">{session.shot.value.title}</h1>
      <ExposureSheet />
      <section class="middle" aria-label="Paper">
        <Paper />
        <header class="head">
          <DrawingNumber />
          <div class="head-words">
            <span class="shot-title" aria-hidden="true">
              {session.shot.value.title}
            </span>
            <WayWords />
            <SavedSign />
            {sign}
            <LevelPicker />
            {overlaysOn('head').map(({ id, Body }) => (
              <Body key={id} session={session} />
            ))}
          </div>
          <PanelButtons />
        </header>
        <div class="foot">
          <div class="over-paper">
            <Notices />
            <Strip />
          </div>
          <Pegs />
        </div>
      </section>
      <SidePanel />
      <Tools />
      <WholePanel />
      {session.helpOpen.value && <HelpSheet />}
    </main>
  );
}
