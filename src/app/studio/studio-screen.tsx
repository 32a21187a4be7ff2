/** How this tablet stands with the studio: the tie, what waits, what was turned down, shots to put up, passes. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { Later } from '../../desk/later.tsx';
import type { Link } from '../../sync/sync.ts';
import type { Home } from '../home.ts';
import { Join } from './join.tsx';
import { NotesFile } from './notes-file.tsx';
import { PutUp } from './put-up.tsx';
import { Refused } from './refused.tsx';
import { signWords } from './sign.tsx';
import type { Studio } from './studio.ts';
import { Whose } from './whose.tsx';
import './studio.css';

const linkWords: Readonly<Record<Link, string>> = {
  unknown: 'Looking for a studio server …',
  none: 'There is no studio server at this address. Everything is kept on this tablet, and works without one.',
  offline:
    'The studio cannot be reached just now. Go on working: what you write waits here and is sent by itself.',
  'no pass': 'The studio is here, and asks for a code before it takes anything.',
  online: 'The studio is here; notes go to and fro by themselves.',
};

interface StudioScreenProps {
  readonly home: Home;
  readonly studio: Studio;
  /** Out of a link that was scanned; empty when the screen was opened by hand. */
  readonly code: string;
}

export function StudioScreen({ home, studio, code }: StudioScreenProps): JSX.Element {
  const looking = useSignal(false);
  const welcomed = useSignal(false);
  const sync = studio.sync.value;
  const link = sync?.link.value ?? 'unknown';
  const person = sync?.person.value;
  return (
    <main class="studio">
      <header class="shelf-head">
        <h1>The studio</h1>
        <a class="button" href="#/">
          To the shelf
        </a>
      </header>
      <section class="leaf studio-stand" aria-label="How this tablet stands">
        <p class="studio-stands">
          <strong>{signWords(sync?.sign.value)}</strong>
          <span>{linkWords[link]}</span>
        </p>
        {sync?.trouble.value && <p role="alert">{sync.trouble.value} Everything is safe on this tablet.</p>}
        {person && (
          <p>
            This tablet is {person.name}’s, {person.role}.
          </p>
        )}
        {sync && (
          <p>
            <button
              type="button"
              class="button"
              disabled={looking.value}
              onClick={() => {
                looking.value = true;
                void sync.nudge().finally(() => {
                  looking.value = false;
                });
              }}
            >
              {looking.value ? 'Looking …' : 'Look now'}
            </button>
          </p>
        )}
      </section>
      {sync && (link === 'no pass' || code !== '' || welcomed.value) && (
        <Join sync={sync} code={code} joined={welcomed} />
      )}
      {sync && <Whose sync={sync} />}
      {sync && <Refused home={home} sync={sync} />}
      <NotesFile home={home} studio={studio} />
      {sync && link === 'online' && <PutUp home={home} sync={sync} />}
      {sync && link === 'online' && sync.owner.value && (
        <Later load={async () => (await import('./passes.tsx')).Passes} of={{ sync }} />
      )}
    </main>
  );
}
