/** What the studio turned down, each with its reason. It stays on this tablet. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import type { Entry } from '../../note/entry.ts';
import type { Sync } from '../../sync/sync.ts';
import type { Home } from '../home.ts';

export function Refused({ home, sync }: { home: Home; sync: Sync }): JSX.Element | null {
  const refused = sync.refused.value;
  const entries = useSignal<ReadonlyMap<string, Entry>>(new Map());
  useEffect(() => {
    if (refused.length === 0) return;
    home.shelf.marked('unsent').then((unsent) => {
      entries.value = new Map(unsent.map((entry) => [entry.id, entry]));
    }, home.tell);
  }, [refused, home, entries]);
  if (refused.length === 0) return null;
  return (
    <section class="refused leaf" aria-labelledby="refused">
      <h2 id="refused">Turned down by the studio</h2>
      <p>These stay on this tablet and are lost to nobody; save them to a file to hand them on.</p>
      <ul>
        {refused.map(({ id, reason }) => (
          <li key={id}>
            <b>{whatItIs(entries.value.get(id))}</b>
            <span>{reason}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** What each kind is to who wrote it. */
const kindWords: Readonly<Record<Entry['body']['kind'], string>> = {
  shot: 'Title or rate of the shot',
  level: 'Level',
  levels: 'Order of the levels',
  drawing: 'Drawing',
  rough: 'Rough',
  take: 'Take',
  pin: 'Note',
  reply: 'Answer',
  edit: 'Change to a note',
  state: 'Word on a note',
  withdraw: 'Withdrawal',
  role: 'Role',
  chart: 'Timing chart',
  exposure: 'Exposure',
  'drawing state': 'State of the drawing',
  plan: 'Plan',
  'house rules': 'Rules of the house',
  tolerance: 'Change to what counts as a fault',
  dismiss: 'Dismissal of a finding',
  'path dot': 'Dot of a path',
};

/** The entry in a few words. */
export function whatItIs(entry: Entry | undefined): string {
  if (!entry) return 'An entry';
  const { body } = entry;
  const on = 'drawing' in body ? ` on ${body.drawing}` : '';
  const words = 'text' in body && body.text ? `: “${body.text.slice(0, 80)}”` : '';
  // A later version's kinds are not among these.
  const kind = kindWords[body.kind] ?? 'An entry';
  return `${kind}${on}${words}`;
}
