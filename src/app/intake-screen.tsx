/** Taking drawings in: how far it is, what is asked, what was not taken and why. */
import type { JSX } from 'preact';
import { arriveAt } from '../desk/arrive.ts';
import { Icon } from '../desk/icons.tsx';
import type { TakenIn } from '../intake/types.ts';
import type { Shelf } from '../shelf/types.ts';
import type { Shot } from '../shot/model.ts';
import type { Retaken } from '../shot/takes.ts';
import type { IntakeRun } from './intake-run.ts';
import { OddFiles } from './odd-files.tsx';
import { Questions } from './questions.tsx';
import { hrefOf } from './router.ts';
import { retakenWords } from './shot-words.ts';
import { sizeWords } from './sizes.ts';
import { Standing } from './standing.tsx';
import type { Brought } from './take-beside.ts';

interface IntakeScreenProps {
  readonly run: IntakeRun;
  readonly shelf: Pick<Shelf, 'picture'>;
  readonly close: () => void;
}

export function IntakeScreen({ run, shelf, close }: IntakeScreenProps): JSX.Element {
  const now = run.state.value;
  const toShelf = (
    <button type="button" class="button" onClick={close}>
      To the shelf
    </button>
  );
  const stop = (
    <button type="button" class="button" onClick={run.stop}>
      Stop
    </button>
  );
  return (
    <main class="intake">
      <header class="shelf-head">
        <h1>Taking drawings in</h1>
      </header>
      {now.at === 'looking' && (
        <>
          <section class="leaf">
            <p class="intake-says">Looking at the files …</p>
            <progress aria-label="Looking at the files" />
          </section>
          <div class="ways-on">{stop}</div>
        </>
      )}
      {now.at === 'asking' && <Questions run={run} plan={now.plan} answers={now.answers} close={close} />}
      {now.at === 'taking' && (
        <>
          <section class="leaf">
            <p class="intake-says">
              {now.progress
                ? `${now.progress.doneFiles} of ${now.progress.totalFiles} pictures`
                : 'Beginning …'}
            </p>
            <progress
              aria-label="Pictures taken in"
              max={now.progress?.totalFiles ?? 1}
              value={now.progress?.doneFiles ?? 0}
            />
            {now.progress && (
              <p class="intake-soft">
                {sizeWords(now.progress.doneBytes)} of {sizeWords(now.progress.totalBytes)}:{' '}
                {now.progress.name}
              </p>
            )}
          </section>
          <div class="ways-on">{stop}</div>
        </>
      )}
      {now.at === 'stopped' && (
        <>
          <p class="leaf" role="status">
            <b class="intake-says">Stopped.</b> {keptWords(now.kept, 'No shot was changed.')} Pictures that
            were in already need not be read a second time.
          </p>
          <div class="ways-on">
            <button type="button" class="button first" onClick={run.again}>
              Take them in after all
            </button>
            {toShelf}
          </div>
        </>
      )}
      {now.at === 'failed' && (
        <>
          <p class="leaf with-icon" role="alert">
            <Icon name="warn" />
            <span>
              <b class="intake-says">{now.says}</b>{' '}
              {keptWords(now.kept, 'What was on the shelf before is as it was.')}
            </span>
          </p>
          <OddFiles odd={now.odd} />
          <div class="ways-on">
            <button type="button" class="button first" onClick={run.again}>
              Try again
            </button>
            {toShelf}
          </div>
        </>
      )}
      {now.at === 'done' && (
        <>
          <Taken taken={now.taken} brought={now.brought} retaken={now.retaken} shelf={shelf} close={close} />
          <OddFiles odd={now.taken.odd} />
          <div class="ways-on">{toShelf}</div>
        </>
      )}
    </main>
  );
}

interface TakenProps {
  readonly taken: TakenIn;
  readonly brought: ReadonlyMap<string, Brought>;
  readonly retaken: ReadonlyMap<string, readonly Retaken[]>;
  readonly shelf: Pick<Shelf, 'picture'>;
  readonly close: () => void;
}

function Taken({ taken, brought, retaken, shelf, close }: TakenProps): JSX.Element {
  return (
    <ul class="taken" role="status">
      {taken.shots.map(({ shot, added, unchanged }) => (
        <li key={shot.id} class="leaf">
          <Standing shelf={shelf} shot={shot} />
          <a class="button first" href={hrefOf(shot.id)} onClick={close}>
            Open “{shot.title}”
          </a>
          <span>
            {added === 1 ? '1 picture is' : `${added} pictures are`} new
            {unchanged > 0 && `, ${unchanged} ${unchanged === 1 ? 'was' : 'were'} there already`}
            {broughtWords(brought.get(shot.id))}
          </span>
          <NewTakes shot={shot} retaken={retaken.get(shot.id) ?? []} close={close} />
          {brought.get(shot.id)?.odd.map((sentence) => (
            <span key={sentence} class="brought-odd">
              {sentence}
            </span>
          ))}
        </li>
      ))}
    </ul>
  );
}

/** Which drawings were redrawn, and the way on to them. */
function NewTakes({
  shot,
  retaken,
  close,
}: {
  shot: Shot;
  retaken: readonly Retaken[];
  close: () => void;
}): JSX.Element | null {
  const [first] = retaken;
  if (!first) return null;
  return (
    <span class="new-takes">
      {retakenWords(retaken)}
      <a
        class="button"
        href={hrefOf(shot.id)}
        onClick={() => {
          arriveAt({ shotId: shot.id, at: first, panel: 'retakes' });
          close();
        }}
      >
        On to the retakes
      </a>
    </span>
  );
}

/** What an end in the middle left on the shelf. */
function keptWords(kept: readonly string[], none: string): string {
  if (kept.length === 0) return none;
  const titles = kept.map((title) => `“${title}”`).join(', ');
  return `${titles} ${kept.length === 1 ? 'was' : 'were'} taken in before that; nothing else was changed.`;
}

function broughtWords(brought: Brought | undefined): string {
  if (!brought || brought.added + brought.known === 0) return '';
  const { added, known } = brought;
  const fresh = `. Of its notes and edits ${added === 1 ? '1 is' : `${added} are`} new`;
  return known > 0 ? `${fresh}, ${known} ${known === 1 ? 'was' : 'were'} here already` : fresh;
}
