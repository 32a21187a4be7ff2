/** Puts the checks on the desk. Only this and the switches belong to the desk's own load. */
import { useComputed } from '@preact/signals';
import type { JSX } from 'preact';
import { addCommands, type Command } from '../commands.ts';
import { addOverlay, addPanel, panelCommand, type RowsInView, switchCommand } from '../extensions.ts';
import { Later } from '../later.tsx';
import type { Session } from '../session.ts';
import { type LineOverlay, switchesOf } from './switches.ts';

const room = () => import('./checks-room.tsx');

interface OfSession {
  readonly session: Session;
}

const ChecksPanel = ({ session }: OfSession): JSX.Element => (
  <Later load={async () => (await room()).ChecksPanel} of={{ session }} />
);

/** Measuring begins when the first drawing lies on the paper: nothing comes before that. */
function PaperChecks({ session }: OfSession): JSX.Element | null {
  const begun = useComputed(() => session.onPaper.value?.complete === true || switchesOf(session).begun);
  if (!begun.value) return null;
  switchesOf(session).begun = true;
  return <Later load={async () => (await room()).PaperChecks} of={{ session }} />;
}

const Curves = ({ session, rows }: OfSession & { readonly rows?: RowsInView }): JSX.Element | null =>
  rows && switchesOf(session).curves.value ? (
    <Later load={async () => (await room()).Curves} of={{ session, rows }} />
  ) : null;

const ChecksLine = ({ session }: OfSession): JSX.Element => (
  <Later load={async () => (await room()).ChecksLine} of={{ session }} />
);

const overCommand = (over: Exclude<LineOverlay, 'none'>, label: string, key: string): Command => ({
  id: `over ${over}`,
  label,
  group: 'Checks',
  key,
  run(session) {
    const { over: now } = switchesOf(session);
    now.value = now.peek() === over ? 'none' : over;
  },
  on: (session) => switchesOf(session).over.value === over,
});

const step = (by: 1 | -1) => (session: Session) => {
  room().then(
    ({ checksOf }) => checksOf(session).step(by),
    () => {
      session.notice.value = {
        says: 'The checks could not be loaded. Everything is safe; open the app again.',
      };
    },
  );
};

addPanel({
  id: 'checks',
  label: 'Checks',
  command: panelCommand({
    id: 'checks',
    label: 'Checks beside the paper',
    group: 'Checks',
    icon: 'dividers',
    key: 'c',
  }),
  Body: ChecksPanel,
});
addOverlay({ id: 'checks', where: 'paper', Body: PaperChecks });
addOverlay({
  id: 'checks line',
  where: 'line',
  Body: ChecksLine,
  wanted: (session) =>
    switchesOf(session).paint.value || switchesOf(session).over.value !== 'none' ? 'else' : undefined,
});
addOverlay({ id: 'curves', where: 'sheet', Body: Curves });
addCommands([
  { id: 'next finding', label: 'Jump to the next finding', group: 'Checks', key: 'j', run: step(1) },
  {
    id: 'finding before',
    label: 'Jump to the finding before',
    group: 'Checks',
    key: 'Shift+J',
    run: step(-1),
  },
  overCommand('weight', 'Weight over the line', 'Shift+W'),
  overCommand('drift', 'Drift from the rough over the line', 'Shift+D'),
  overCommand('openings', 'Openings marked', 'Shift+O'),
  switchCommand(
    { id: 'curves', label: 'Curves beside the exposure sheet', group: 'Checks', key: 'Shift+C' },
    (session) => switchesOf(session).curves,
  ),
  switchCommand(
    {
      id: 'paint test',
      label: 'Ink and paint test: tap a region to see what fills',
      group: 'Checks',
      key: 'i',
    },
    (session) => switchesOf(session).paint,
  ),
  switchCommand(
    { id: 'checking stopped', label: 'Stop checking, or go on', group: 'Checks', key: 'Shift+S' },
    (session) => switchesOf(session).stopped,
  ),
]);
