/** What waits here for a word of its writer: someone else's entries, and what a file says in this person's name. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { sentenceOf } from '../../error/sentence.ts';
import type { Sync } from '../../sync/sync.ts';
import { whatItIs } from './refused.tsx';

const entriesWords = (count: number): string => (count === 1 ? '1 entry' : `${count} entries`);
/** Of what a file says; more than a person reads through are counted only. */
const mostShown = 20;

export function Whose({ sync }: { sync: Sync }): JSX.Element | null {
  const trouble = useSignal('');
  const others = sync.others.value;
  const mine = sync.inYourName.value;
  if (others === 0 && mine.length === 0) return null;
  return (
    <section class="refused leaf" aria-labelledby="whose">
      <h2 id="whose">Waiting for a word</h2>
      {others > 0 && (
        <p>
          {entriesWords(others)} of someone else who wrote on this tablet {others === 1 ? 'waits' : 'wait'}{' '}
          for a tablet of theirs: whoever runs the studio can give that person a code for this one, or save
          them to a file to hand them on.
        </p>
      )}
      {mine.length > 0 && (
        <>
          <p>
            {entriesWords(mine.length)} in your name came out of a file, and the studio lacks{' '}
            {mine.length === 1 ? 'it' : 'them'}. Send only what you wrote.
          </p>
          <ul>
            {mine.slice(0, mostShown).map((entry) => (
              <li key={entry.id}>{whatItIs(entry)}</li>
            ))}
            {mine.length > mostShown && <li>and {mine.length - mostShown} more</li>}
          </ul>
          <p>
            <button
              type="button"
              class="button"
              onClick={() => {
                trouble.value = '';
                void sync.vouch().catch((error: unknown) => {
                  trouble.value = sentenceOf(error);
                });
              }}
            >
              I wrote {mine.length === 1 ? 'it' : 'these'}: send {mine.length === 1 ? 'it' : 'them'}
            </button>
          </p>
        </>
      )}
      {trouble.value && <p role="alert">{trouble}</p>}
    </section>
  );
}
