/** Notes by hand: what waits goes into a file, and such a file is taken in. For days without any network. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useRef } from 'preact/hooks';
import { GiveFile } from '../../desk/give-file.tsx';
import { sentenceOf } from '../../error/sentence.ts';
import type { Home } from '../home.ts';
import type { Studio } from './studio.ts';

type Made = { readonly file: File; readonly count: number };

export function NotesFile({ home, studio }: { home: Home; studio: Studio }): JSX.Element {
  const made = useSignal<Made | undefined>(undefined);
  const says = useSignal('');
  const trouble = useSignal('');
  const picker = useRef<HTMLInputElement>(null);

  const attempt = async (work: () => Promise<void>): Promise<void> => {
    says.value = '';
    trouble.value = '';
    try {
      await work();
    } catch (error) {
      trouble.value = sentenceOf(error);
    }
  };
  const make = (): Promise<void> =>
    attempt(async () => {
      const [{ notesFile }, unsent] = await Promise.all([
        import('../../sync/notes-file.ts'),
        home.shelf.marked('unsent'),
      ]);
      if (unsent.length === 0) says.value = 'Nothing waits: there is nothing to save.';
      else made.value = { file: notesFile(unsent, new Date()), count: unsent.length };
    });
  const take = (file: File): Promise<void> =>
    attempt(async () => {
      const { takeNotes } = await import('../../sync/notes-file.ts');
      const { entries, odd } = await takeNotes(home.shelf, await file.text());
      const taken = entries.length === 1 ? '1 entry is' : `${entries.length} entries are`;
      says.value = [`${taken} on this tablet now.`, ...odd].join(' ');
      studio.nudge();
    });

  return (
    <section class="by-hand leaf" aria-labelledby="by-hand">
      <h2 id="by-hand">Notes by hand</h2>
      <p>
        Without a network for long, notes that wait can travel as a file: on a stick, by message, to another
        tablet.
      </p>
      <p class="studio-row">
        <button type="button" class="button" onClick={() => void make()}>
          Save waiting notes to a file
        </button>
        <button type="button" class="button" onClick={() => picker.current?.click()}>
          Take notes from a file
        </button>
        <input
          ref={picker}
          type="file"
          accept="application/json,.json"
          hidden
          data-pick="notes"
          onChange={(event) => {
            const [file] = event.currentTarget.files ?? [];
            event.currentTarget.value = '';
            if (file) void take(file);
          }}
        />
      </p>
      {made.value && (
        <p class="shot-ask">
          <GiveFile
            file={made.value.file}
            says={`${made.value.count === 1 ? '1 entry' : `${made.value.count} entries`}, ready as ${made.value.file.name}.`}
            close={() => {
              made.value = undefined;
            }}
          />
        </p>
      )}
      {/* Always there, so that a screen reader tells what comes into it. */}
      <p class="studio-says" role="status">
        {says}
      </p>
      {trouble.value && <p role="alert">{trouble}</p>}
    </section>
  );
}
