/** The tablet's own shots, to be put up at the studio for the others. */
import type { JSX } from 'preact';
import type { Sync } from '../../sync/sync.ts';
import type { Home } from '../home.ts';
import { carryOf } from './carry.ts';
import { CarryLine } from './carry-line.tsx';

export function PutUp({ home, sync }: { home: Home; sync: Sync }): JSX.Element | null {
  const there = new Set(sync.offered.value.map(({ id }) => id));
  const own = (home.shots.value ?? []).filter(({ id }) => !there.has(id));
  if (own.length === 0) return null;
  return (
    <section class="offered" aria-labelledby="put-up">
      <h2 id="put-up">Only on this tablet</h2>
      <ul>
        {own.map(({ id, title }) => (
          <li key={id}>
            <span class="offered-title">{title}</span>
            <CarryLine
              carry={carryOf(sync, id, 'putUp')}
              label={`Put ${title} up at the studio`}
              word="Put it up"
            />
          </li>
        ))}
      </ul>
    </section>
  );
}
