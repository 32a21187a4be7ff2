/** Shots of the studio that are not on this tablet yet: below the tablet's own, each kept when asked for. */
import type { JSX } from 'preact';
import type { Sync } from '../../sync/sync.ts';
import { sizeWords } from '../sizes.ts';
import { carryOf } from './carry.ts';
import { CarryLine } from './carry-line.tsx';
import './studio.css';

export function Offered({ sync }: { sync: Sync }): JSX.Element | null {
  // One that is on the shelf stays here until its pictures are, or could not be had.
  const offered = sync.offered.value.filter(
    ({ id, kept }) => !kept || carryOf(sync, id, 'keep').state.value.at !== 'rest',
  );
  if (offered.length === 0) return null;
  return (
    <section class="offered" aria-labelledby="offered">
      <h2 id="offered">At the studio</h2>
      <ul>
        {offered.map(({ id, title, drawings, clean, byteLength }) => (
          <li key={id}>
            <span class="offered-title">{title}</span>
            <span>
              {drawings === 1 ? '1 drawing' : `${drawings} drawings`}, {clean} cleaned up,{' '}
              {sizeWords(byteLength)}
            </span>
            <CarryLine
              carry={carryOf(sync, id, 'keep')}
              label={`Keep ${title} on this tablet`}
              word="Keep on this tablet"
            />
          </li>
        ))}
      </ul>
    </section>
  );
}
