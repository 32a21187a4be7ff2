/** Puts the fix list on the desk. Only this belongs to the desk's own load. */
import type { JSX } from 'preact';
import { addPanel, panelCommand } from '../extensions.ts';
import { Later } from '../later.tsx';
import type { Session } from '../session.ts';

const FixList = ({ session }: { session: Session }): JSX.Element => (
  <Later load={async () => (await import('./fix-list-screen.tsx')).FixListScreen} of={{ session }} />
);

addPanel({
  id: 'fixes',
  label: 'Fix list',
  whole: true,
  command: panelCommand({
    id: 'fixes',
    label: 'Fix list: what is to be mended, in working order',
    group: 'Notes',
    icon: 'list',
    key: 'Shift+F',
  }),
  Body: FixList,
});
