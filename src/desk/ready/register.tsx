/** Puts on the desk what still stands between the shot and ink and paint. Only this belongs to the desk's own load. */
import type { JSX } from 'preact';
import { addPanel, panelCommand } from '../extensions.ts';
import { Later } from '../later.tsx';
import type { Session } from '../session.ts';

const ReadyPage = ({ session }: { session: Session }): JSX.Element => (
  <Later load={async () => (await import('./ready-screen.tsx')).ReadyScreen} of={{ session }} />
);

addPanel({
  id: 'ready',
  label: 'Ready?',
  whole: true,
  command: panelCommand({
    id: 'ready',
    label: 'Ready? What stands between the shot and ink and paint',
    group: 'Notes',
    icon: 'brush',
    key: 'Shift+V',
  }),
  Body: ReadyPage,
});
