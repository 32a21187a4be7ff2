/** The shell: opens the shelf, shows the screen that the address asks for, and what holds for all screens. */
import { batch, signal, useSignal } from '@preact/signals';
import type { ComponentType, JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { tabletClock } from '../desk/clock.ts';
import type { DeskScreenProps } from '../desk/desk-screen.tsx';
import { Later } from '../desk/later.tsx';
import type { Session } from '../desk/session.ts';
import { lightThePage, openTable } from '../desk/table.ts';
import { watchTextSize } from '../desk/text-size.ts';
import { SentenceError, sentenceOf } from '../error/sentence.ts';
import { openShelf } from '../shelf/open.ts';
import type { Shot } from '../shot/model.ts';
import { dropSharedFiles, sharedFiles } from '../sync/shared.ts';
import { type Updates, watchForUpdates } from '../sync/update.ts';
import { createHome, type Home } from './home.ts';
import { type IntakeRun, startIntake } from './intake-run.ts';
import { IntakeScreen } from './intake-screen.tsx';
import { route } from './router.ts';
import { createSamples, isFirstStart, type Samples } from './samples.ts';
import { ShelfScreen } from './shelf-screen.tsx';
import { StudioSign } from './studio/sign.tsx';
import { openStudio, type Studio } from './studio/studio.ts';
import { UpdateOffer } from './update-offer.tsx';

/** Everything that is there once the shelf is open. */
interface Open {
  readonly home: Home;
  readonly samples: Samples;
  readonly studio: Studio;
  readonly onTakes: DeskScreenProps['onTakes'];
}

const session = signal<Session | undefined>(undefined);
const intake = signal<IntakeRun | undefined>(undefined);
const studioTie = signal<Studio | undefined>(undefined);

const noRoomForShared =
  'There was no room for the files that another app shared. What is on the shelf is safe: free storage, then share them again.';

function onSession(opened: Session | undefined): void {
  session.value = opened;
}

function beginIntake(
  home: Home,
  files: Parameters<typeof startIntake>[0]['files'],
  { into, over }: { readonly into?: Shot | undefined; readonly over?: () => void } = {},
): void {
  intake.value?.close();
  intake.value = startIntake({
    shelf: home.shelf,
    newId: tabletClock.newId,
    ...(into && { into }),
    ...(over && { over }),
    files,
  });
  // Work of one's own stands on the shelf from now on: the browser is asked to keep it.
  void home.shelf.persist().then(home.look, home.tell);
}

function tie(shelf: Home['shelf']): Studio {
  const studio = openStudio(shelf);
  studioTie.value = studio;
  return studio;
}

async function start(slow: (sentence: string) => void): Promise<Open> {
  const shelf = await openShelf('fairpeg', slow);
  const home = createHome(shelf);
  await openTable(shelf, tabletClock.newId, home.tell);
  const samples = createSamples(home);
  if (new URLSearchParams(location.search).get('shared') === 'none')
    home.tell(new SentenceError('full', noRoomForShared));
  // Also those of a start that ended before they were in: they wait until they are taken in or left.
  const files = await sharedFiles().catch(() => []);
  if (files.length > 0)
    beginIntake(home, async (room) => room.filesFromList(files), { over: () => void dropSharedFiles() });
  else if (await isFirstStart(home)) void samples.layOut();
  // After the table: joining writes this tablet's person.
  return {
    home,
    samples,
    studio: tie(shelf),
    onTakes: (files, shot) => beginIntake(home, async (room) => room.filesFromList(files), { into: shot }),
  };
}

const updates: Updates = watchForUpdates({
  busy: () => session.peek()?.working.peek() === true || intake.peek()?.state.peek().at === 'taking',
  flush: async () => {
    const desk = session.peek();
    await desk?.flush();
    const trouble = desk?.ledger.trouble.peek();
    if (trouble)
      throw new SentenceError(
        'unsaved',
        `Fairpeg stays as it is until your last edits are saved. ${trouble}`,
      );
  },
  sendOutbox: () => studioTie.peek()?.nudge(),
});

export function Shell(): JSX.Element {
  const open = useSignal<Open | undefined>(undefined);
  const trouble = useSignal('');
  const Desk = useSignal<ComponentType<DeskScreenProps> | undefined>(undefined);

  useEffect(() => lightThePage(document.documentElement), []);
  useEffect(() => watchTextSize(document), []);
  useEffect(() => {
    const slow = (sentence: string): void => {
      trouble.value = sentence;
    };
    start(slow).then(
      (opened) => {
        open.value = opened;
        trouble.value = '';
      },
      (error: unknown) => {
        trouble.value = sentenceOf(error);
      },
    );
  }, [open, trouble]);
  const atShot = route.value.at === 'shot';
  useEffect(() => {
    if (!atShot || Desk.peek()) return;
    import('../desk/desk-screen.tsx').then(
      ({ DeskScreen }) => {
        Desk.value = DeskScreen;
      },
      () => {
        trouble.value = 'The desk could not be loaded. Everything on the shelf is safe; open the app again.';
      },
    );
  }, [atShot, Desk, trouble]);

  if (trouble.value) {
    return (
      <main class="shell-trouble">
        <h1>Fairpeg</h1>
        <p role="alert">{trouble}</p>
        <button type="button" class="button" onClick={() => location.reload()}>
          Try again
        </button>
      </main>
    );
  }
  if (!open.value) return <main aria-busy="true" aria-label="Opening the shelf" />;
  const { home, samples, studio, onTakes } = open.value;
  const sign = <StudioSign studio={studio} />;
  const here = route.value;
  return (
    <>
      {intake.value ? (
        <IntakeScreen
          run={intake.value}
          shelf={home.shelf}
          close={() =>
            batch(() => {
              intake.value?.close();
              intake.value = undefined;
              void home.look();
            })
          }
        />
      ) : here.at === 'shot' ? (
        Desk.value ? (
          <Desk.value
            key={here.id}
            shelf={home.shelf}
            clock={tabletClock}
            shotId={here.id}
            onSession={onSession}
            onTakes={onTakes}
            sign={sign}
          />
        ) : (
          <main aria-busy="true" aria-label="Opening the desk" />
        )
      ) : here.at === 'studio' ? (
        <Later
          load={async () => (await import('./studio/studio-screen.tsx')).StudioScreen}
          of={{ home, studio, code: here.code }}
          waiting={<main aria-busy="true" aria-label="Opening the studio" />}
        />
      ) : here.at === 'today' ? (
        <Later
          load={async () => (await import('./today/today-screen.tsx')).TodayScreen}
          of={{ home }}
          waiting={<main aria-busy="true" aria-label="Opening today" />}
        />
      ) : (
        <ShelfScreen
          home={home}
          samples={samples}
          studio={studio}
          offer={(files, into) => beginIntake(home, files, { into })}
          offline={updates.offline}
        />
      )}
      <UpdateOffer updates={updates} />
    </>
  );
}
