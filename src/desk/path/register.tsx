/** Puts the path of a place on the desk. Only this is of the desk's own load. */
import type { JSX } from 'preact';
import { addOverlay, addPanel, panelCommand } from '../extensions.ts';
import { Later } from '../later.tsx';
import type { Session } from '../session.ts';
import { pathBegunOf } from './begun.ts';

const room = () => import('./path-room.tsx');

const PathPanel = ({ session }: { session: Session }): JSX.Element => (
  <Later load={async () => (await room()).PathPanel} of={{ session }} />
);

/** What was followed stays on the paper when the panel is closed. */
function PaperPaths({ session }: { session: Session }): JSX.Element | null {
  const begun = pathBegunOf(session);
  if (session.panel.value === 'path') begun.value = true;
  if (!begun.value) return null;
  return <Later load={async () => (await room()).PaperPaths} of={{ session }} />;
}

addPanel({
  id: 'path',
  label: 'Path',
  command: panelCommand({
    id: 'path',
    label: 'Path of a place: tap it, and see its arc through the set',
    group: 'Checks',
    icon: 'path',
    key: 'v',
  }),
  Body: PathPanel,
});
addOverlay({ id: 'path', where: 'paper', Body: PaperPaths });
