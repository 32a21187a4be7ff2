/** Puts on the desk what shows the shot to others: line test and contact sheet. Only this is of the desk's own load. */
import type { JSX } from 'preact';
import { addPanel, panelCommand } from '../extensions.ts';
import { Later } from '../later.tsx';
import type { Session } from '../session.ts';

const ShowPage = ({ session }: { session: Session }): JSX.Element => (
  <Later load={async () => (await import('./show-screen.tsx')).ShowScreen} of={{ session }} />
);

addPanel({
  id: 'show',
  label: 'Show',
  whole: true,
  command: panelCommand({
    id: 'show',
    label: 'Show the shot: a line test, or all drawings on pages',
    group: 'Notes',
    icon: 'leaves',
    key: 'Shift+M',
  }),
  Body: ShowPage,
});
