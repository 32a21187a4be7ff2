/** The tablet's own shots, and newer drawings of those that were put up, to be put up at the studio for the others. */
import type { JSX } from 'preact';
import type { Sync } from '../../sync/sync.ts';
import type { Home } from '../home.ts';
import { carryOf } from './carry.ts';
import { CarryLine } from './carry-line.tsx';

export function PutUp({ home, sync }: { home: Home; sync: Sync }): JSX.Element | null {
  const there = new Map(sync.offered.value.map((shot) => [shot.id, shot]));
  const own = (home.shots.value ?? []).filter(({ id }) => there.get(id)?.lacksOurs ?? true);
  if (own.length === 0) return null;
  return (
    <section class="offered leaf" aria-labelledby="put-up">
      <h2 id="put-up">Only on this tablet</h2>
      <ul>
        {own.map(({ id, title }) => (
          <li key={id}>
            <span class="offered-title">{title}</span>
            <CarryLine
              carry={carryOf(sync, id, 'putUp')}
              label={
                there.has(id)
                  ? `Put newer drawings of ${title} up at the studio`
                  : `Put ${title} up at the studio`
              }
              word={there.has(id) ? 'Put newer drawings up' : 'Put it up'}
            />
          </li>
        ))}
      </ul>
    </section>
  );
}
