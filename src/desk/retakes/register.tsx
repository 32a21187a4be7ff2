/** Puts the retakes on the desk. Only this belongs to the desk's own load. */
import type { JSX } from 'preact';
import { addCommands } from '../commands.ts';
import { addPanel, panelCommand } from '../extensions.ts';
import { Later } from '../later.tsx';
import type { Session } from '../session.ts';

const room = () => import('./retakes-panel.tsx');

const RetakesPanel = ({ session }: { session: Session }): JSX.Element => (
  <Later load={async () => (await room()).RetakesPanel} of={{ session }} />
);

addPanel({
  id: 'retakes',
  label: 'Retakes',
  command: panelCommand({
    id: 'retakes',
    label: 'Retakes: a drawing’s takes, and what was redrawn',
    group: 'Notes',
    icon: 'takes',
    key: 'Shift+R',
  }),
  Body: RetakesPanel,
});
addCommands([
  {
    id: 'next fixed',
    label: 'Go to the next fixed note, old and new takes on the paper',
    group: 'Notes',
    key: 'x',
    run(session) {
      session.panel.value = 'retakes';
      import('./retakes-desk.ts').then(
        ({ retakesOf }) => {
          if (!retakesOf(session).goOn())
            session.notice.value = { says: 'No other note waits: none is said to be fixed.' };
        },
        // Its panel says that it could not be loaded.
        () => undefined,
      );
    },
  },
]);
