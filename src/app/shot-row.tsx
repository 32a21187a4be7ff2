/** One shot on the shelf: its key drawings hang from the pegs, and under them what is done. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useMemo } from 'preact/hooks';
import { knownFindings } from '../desk/findings.ts';
import { Icon } from '../desk/icons.tsx';
import { person } from '../desk/table.ts';
import { WaitShape, waitMarkPx } from '../desk/wait-marks.tsx';
import type { Entry } from '../note/entry.ts';
import type { FixFinding } from '../note/fix-list.ts';
import { mergeNotes } from '../note/merge.ts';
import { drawingState } from '../note/progress.ts';
import { waitsOf } from '../note/waits.ts';
import { drawingKey } from '../shot/drawing-ref.ts';
import type { Shot } from '../shot/model.ts';
import type { Offered } from '../sync/offers.ts';
import { type Done, DoneChart } from './done-chart.tsx';
import type { Home } from './home.ts';
import { hrefOf } from './router.ts';
import { doneWords, lengthWords, waitLines } from './shot-words.ts';
import { sizeWords } from './sizes.ts';
import { Standing } from './standing.tsx';
import { type Offer, TakeIn } from './take-in.tsx';
import { WriteOut } from './write-out.tsx';

/** What is lost with a shot that is taken off, and what is not. */
function goesWords(atStudio: AtStudio | undefined): string {
  if (atStudio?.isAway && !atStudio.offered) {
    return 'The studio cannot be asked just now whether it has its drawings: this may be the only copy. Edits and notes not sent yet stay.';
  }
  if (!atStudio?.offered) {
    return 'Its drawings are not kept anywhere else by Fairpeg; edits and notes not sent yet stay.';
  }
  const newer = atStudio.offered.lacksOurs
    ? ', but not the newer drawings of this tablet; those are not kept anywhere else by Fairpeg.'
    : undefined;
  const has = atStudio.isAway
    ? `The studio cannot be asked just now; when it last answered it had ${newer ? `it${newer}` : 'its drawings.'}`
    : `The studio has ${newer ? `it${newer}` : 'its drawings, and it can be kept again from there.'}`;
  return `${has} Edits and notes not sent yet stay.`;
}

/** What may be done with a shot; each asks before it does. */
const ways = [
  {
    what: 'take in',
    icon: 'in',
    word: 'Take in',
    label: (shot: string) => `Take in more drawings of ${shot}`,
    title: 'Take more drawings or newer takes into this shot',
  },
  {
    what: 'write out',
    icon: 'out',
    word: 'Write out',
    label: (shot: string) => `Write out ${shot}`,
    title: 'Write the shot out as a zip',
  },
  {
    what: 'remove',
    icon: 'bin',
    word: 'Take off',
    label: (shot: string) => `Take off the shelf: ${shot}`,
    title: 'Take the shot off the shelf of this tablet',
  },
] as const;

interface ShotRowProps {
  readonly home: Home;
  readonly shot: Shot;
  readonly offer: Offer;
  /** None where no studio is known. */
  readonly atStudio: AtStudio | undefined;
}

/** A shot as the studio had it when it last answered. */
interface AtStudio {
  /** Undefined where it had none. */
  readonly offered: Offered | undefined;
  /** There is one, and it does not answer now. */
  readonly isAway: boolean;
  /** Asks it once more; resolves whether or not it answers. */
  readonly ask: () => Promise<void>;
}

export function ShotRow({ home, shot, offer, atStudio }: ShotRowProps): JSX.Element {
  const asked = useSignal<(typeof ways)[number]['what'] | undefined>(undefined);
  const done = useSaid(home, shot);
  const bytes = home.usage.value?.perShot.get(shot.id);
  const facts = [lengthWords(shot), ...(bytes ? [sizeWords(bytes)] : [])].join(' · ');
  return (
    <li class="shot-row">
      <a class="shot-open" href={hrefOf(shot.id)}>
        <h2>{shot.title}</h2>
        <Standing shelf={home.shelf} shot={shot} />
        <DoneChart done={done} />
        <span class="shot-words">
          <span>{doneWords(done)}</span>
          <span>{facts}</span>
        </span>
        {waitLines(done, person.value.role).map(({ kind, words }) => (
          <span key={kind} class="shot-waits">
            <svg width={waitMarkPx + 3} height={waitMarkPx + 2} aria-hidden="true">
              <WaitShape kind={kind} x={1} y={1} />
            </svg>
            {words}
          </span>
        ))}
      </a>
      <div class="shot-tools">
        {ways.map(({ what, icon, word, label, title }) => (
          <button
            key={what}
            type="button"
            class="tool"
            aria-label={label(shot.title)}
            aria-expanded={asked.value === what}
            title={title}
            onClick={() => {
              asked.value = asked.value === what ? undefined : what;
            }}
          >
            <Icon name={icon} />
            {word}
          </button>
        ))}
      </div>
      {asked.value === 'take in' && (
        <div class="shot-ask">
          <span>More drawings for “{shot.title}”. Newer clean-ups become new takes.</span>
          <TakeIn offer={offer} into={shot} />
        </div>
      )}
      {asked.value === 'write out' && (
        <WriteOut
          home={home}
          shot={shot}
          close={() => {
            asked.value = undefined;
          }}
        />
      )}
      {asked.value === 'remove' && (
        <TakeOff
          home={home}
          shot={shot}
          bytes={bytes}
          atStudio={atStudio}
          close={() => {
            asked.value = undefined;
          }}
        />
      )}
    </li>
  );
}

/** Longer than a studio on the same network takes; one that is silent is not waited for. */
const mostAskingMs = 6000;

interface TakeOffProps extends Pick<ShotRowProps, 'home' | 'shot' | 'atStudio'> {
  readonly bytes: number | undefined;
  readonly close: () => void;
}

/** What the studio had when it was last asked may be gone: it is asked before this tablet's copy may go. */
function TakeOff({ home, shot, bytes, atStudio, close }: TakeOffProps): JSX.Element {
  const asking = useSignal(atStudio?.offered !== undefined);
  const ask = atStudio?.ask;
  useEffect(() => {
    if (!ask || !asking.peek()) return undefined;
    const told = (): void => {
      asking.value = false;
    };
    const longest = setTimeout(told, mostAskingMs);
    void ask().then(told, told);
    return () => clearTimeout(longest);
  }, [asking, ask]);
  return (
    <p class="shot-ask" role="group" aria-label={`Take ${shot.title} off the shelf?`}>
      <span role="status">
        {asking.value
          ? 'Asking the studio whether it still has it …'
          : `Take “${shot.title}” off this tablet${bytes ? ` (${sizeWords(bytes)})` : ''}? ${goesWords(atStudio)}`}
      </span>
      <button
        type="button"
        class="button"
        disabled={asking.value}
        onClick={() => void home.shelf.dropShot(shot.id).catch(home.tell)}
      >
        Take it off
      </button>
      <button type="button" class="button" onClick={close}>
        Leave it
      </button>
    </p>
  );
}

/** The shot and how far its drawings are, as people said; as it came until that is read. */
function useSaid(home: Home, shot: Shot): readonly Done[] {
  const entries = useSignal<readonly Entry[]>([]);
  const found = useSignal<readonly FixFinding[]>([]);
  useEffect(() => {
    let gone = false;
    let reads = 0;
    const read = (): void => {
      const mine = ++reads;
      void home.shelf.entries(shot.id).then((found) => {
        if (!gone && mine === reads) entries.value = found;
      }, home.tell);
      void knownFindings(home.shelf, shot).then((known) => {
        if (!gone && mine === reads) found.value = known.findings;
      }, home.tell);
    };
    read();
    const stop = home.shelf.onChange((change) => {
      if (change.kind === 'entries' && (change.shotId ?? shot.id) === shot.id) read();
    });
    return () => {
      gone = true;
      stop();
    };
  }, [home, shot, entries, found]);
  const said = entries.value;
  return useMemo(() => {
    const notes = mergeNotes(said);
    const waits = waitsOf(shot, notes, found.value);
    return shot.levels.flatMap((level) =>
      level.drawings.map((drawing) => ({
        drawing,
        state: drawingState(notes, level.name, drawing),
        waits: waits.get(drawingKey({ level: level.name, drawing: drawing.label })),
      })),
    );
  }, [shot, said, found.value]);
}
