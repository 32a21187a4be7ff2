/** The shelf: the shots on this tablet, as drawings. */
import { type ReadonlySignal, useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { Icon } from '../desk/icons.tsx';
import { Later } from '../desk/later.tsx';
import { TableSettings } from '../desk/table-settings.tsx';
import type { OfflineReady } from '../sync/update.ts';
import { expectDrop, filesOfDrop } from './drop.ts';
import { FirstSteps } from './first-steps.tsx';
import type { Home } from './home.ts';
import { KeptHere } from './kept-here.tsx';
import { SampleProgress } from './sample-progress.tsx';
import type { Samples } from './samples.ts';
import { ShotRow } from './shot-row.tsx';
import { StudioSign } from './studio/sign.tsx';
import type { Studio } from './studio/studio.ts';
import { type Offer, TakeIn } from './take-in.tsx';

interface ShelfScreenProps {
  readonly home: Home;
  readonly samples: Samples;
  readonly studio: Studio;
  readonly offer: Offer;
  readonly offline: ReadonlySignal<OfflineReady>;
}

export function ShelfScreen({ home, samples, studio, offer, offline }: ShelfScreenProps): JSX.Element {
  const over = useSignal(false);
  const settings = useSignal(false);
  const shots = home.shots.value;
  const sync = studio.sync.value;
  const layingOut = samples.state.value.at === 'laying out';
  const empty = shots?.length === 0 && !layingOut;
  return (
    <main
      class={over.value ? 'shelf dropping' : 'shelf'}
      onDragOver={(event) => {
        event.preventDefault();
        expectDrop();
        over.value = true;
      }}
      onDragLeave={() => {
        over.value = false;
      }}
      onDrop={(event) => {
        event.preventDefault();
        over.value = false;
        if (event.dataTransfer) offer(filesOfDrop(event.dataTransfer));
      }}
    >
      <header class="shelf-head">
        <h1>
          <PegBar />
          Fairpeg
        </h1>
        <StudioSign studio={studio} />
        {!empty && (
          <a class="button" href="#/today">
            <Icon name="list" /> Today
          </a>
        )}
        {!empty && <TakeIn offer={offer} />}
        <button
          type="button"
          class="tool"
          aria-label="Table: who I am, hand, light and keys"
          title="Table: who I am, hand, light and keys"
          aria-expanded={settings.value}
          onClick={() => {
            settings.value = !settings.value;
          }}
        >
          <Icon name="table" />
          Table
        </button>
      </header>
      {settings.value && <TableSettings />}
      {home.trouble.value && (
        <p class="banner" role="alert">
          <Icon name="warn" />
          {home.trouble}
          <button type="button" class="in-text" onClick={() => void home.again()}>
            Try again
          </button>
        </p>
      )}
      {home.health.value === 'not saved' && (
        <p class="banner" role="alert">
          <Icon name="warn" />
          <strong>Not saved.</strong> This tablet cannot write just now. What was kept before is safe; leave
          the app open, it goes on trying.
        </p>
      )}
      {/* Both ask who works here: once is enough. */}
      {!empty && !settings.value && <FirstSteps />}
      <SampleProgress samples={samples} />
      {empty ? (
        <Empty offer={offer} samples={samples} />
      ) : (
        <ul class="shots">
          {shots?.map((shot) => (
            <ShotRow
              key={shot.id}
              home={home}
              shot={shot}
              offer={offer}
              atStudio={
                sync && {
                  offered: sync.offered.value.find(({ id }) => id === shot.id),
                  isAway: ['offline', 'no pass'].includes(sync.link.value),
                  ask: sync.nudge,
                }
              }
            />
          ))}
        </ul>
      )}
      {/* A studio may offer the very samples that are just coming. */}
      {sync && !layingOut && sync.offered.value.length > 0 && (
        <Later load={async () => (await import('./studio/offered.tsx')).Offered} of={{ sync }} />
      )}
      <KeptHere home={home} offline={offline} />
    </main>
  );
}

function Empty({ offer, samples }: { offer: Offer; samples: Samples }): JSX.Element {
  return (
    <section class="empty">
      <PegBar />
      <h2>The shelf is empty</h2>
      <p>
        Take in the drawings of a shot: a folder with <b>rough</b> and <b>clean</b> inside, numbered pictures,
        or a zip of them. Or drop them here. They stay on this tablet.
      </p>
      <TakeIn offer={offer} />
      <p>
        <button type="button" class="in-text" onClick={() => void samples.layOut()}>
          Lay out the sample shots
        </button>
      </p>
    </section>
  );
}

/** One round peg between two flat ones. */
function PegBar(): JSX.Element {
  return (
    <svg class="peg-mark" width="74" height="16" viewBox="0 0 74 16" aria-hidden="true">
      <rect x="1" y="4" width="20" height="8" rx="3" />
      <circle cx="37" cy="8" r="6" />
      <rect x="53" y="4" width="20" height="8" rx="3" />
    </svg>
  );
}
