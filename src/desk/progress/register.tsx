/** Puts the progress on the desk. Only this belongs to the desk's own load. */
import type { JSX } from 'preact';
import { addPanel, panelCommand } from '../extensions.ts';
import { Later } from '../later.tsx';
import type { Session } from '../session.ts';

const ProgressPanel = ({ session }: { session: Session }): JSX.Element => (
  <Later load={async () => (await import('./progress-panel.tsx')).ProgressPanel} of={{ session }} />
);

addPanel({
  id: 'progress',
  label: 'Progress',
  command: panelCommand({
    id: 'progress',
    label: 'Progress: what is clean, and when the shot will be done',
    group: 'Notes',
    icon: 'progress',
    key: 'Shift+P',
  }),
  Body: ProgressPanel,
});
