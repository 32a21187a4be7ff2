/** Puts on the desk what changes the line itself: its weight, and small mendings. Only this is of the desk's own load. */
import type { JSX } from 'preact';
import { addPanel, panelCommand } from '../extensions.ts';
import { Later } from '../later.tsx';
import type { Session } from '../session.ts';

const LinePanel = ({ session }: { session: Session }): JSX.Element => (
  <Later load={async () => (await import('./reline-panel.tsx')).RelinePanel} of={{ session }} />
);

addPanel({
  id: 'line',
  label: 'Line',
  command: panelCommand({
    id: 'line',
    label: 'Line: its weight changed, small faults mended, as new takes',
    group: 'Edit',
    icon: 'swell',
    key: 'y',
  }),
  Body: LinePanel,
});
