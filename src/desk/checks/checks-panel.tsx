/** The checks beside the paper: how far they are, what lies over the line, what they found, what counts. */
import type { JSX } from 'preact';
import { isRefused } from '../../line/refused.ts';
import { commandById } from '../commands.ts';
import type { Session } from '../session.ts';
import { type ChecksDesk, checksOf, type Listed } from './checks-desk.ts';
import { FindingSlip } from './finding-slip.tsx';
import { Fold } from './fold.tsx';
import { type LineOverlay, lineOverlays, switchesOf } from './switches.ts';
import { ToleranceEditor } from './tolerance-editor.tsx';

const overWords: Readonly<Record<LineOverlay, string>> = {
  none: 'None',
  weight: 'Weight',
  drift: 'Drift',
  openings: 'Openings',
};

export function ChecksPanel({ session }: { session: Session }): JSX.Element {
  const desk = checksOf(session);
  const switches = switchesOf(session);
  const listed = desk.listed.value;
  const here = desk.here.value;
  const isHere = ({ finding }: Listed): boolean =>
    finding.level === here?.level && finding.drawing === here.drawing;
  const open = listed.filter(({ standing }) => standing === 'open');
  const settled = listed.filter(({ standing }) => standing !== 'open');
  return (
    <div class="checks">
      <HowFar session={session} desk={desk} />
      <fieldset class="choice">
        <legend>Over the line</legend>
        <div class="choice-row tight">
          {lineOverlays.map((over) => (
            <button
              key={over}
              type="button"
              aria-pressed={switches.over.value === over}
              onClick={() => {
                switches.over.value = over;
              }}
            >
              {overWords[over]}
            </button>
          ))}
        </div>
      </fieldset>
      <fieldset class="choice">
        <legend>Also</legend>
        <div class="choice-row tight">
          <SwitchButton session={session} id="curves">
            Curves by the sheet
          </SwitchButton>
          <SwitchButton session={session} id="paint test">
            Paint test
          </SwitchButton>
        </div>
      </fieldset>
      <Findings
        session={session}
        title={here ? `On ${here.drawing}` : 'On this drawing'}
        listed={open.filter(isHere)}
        none="Nothing found here."
        numbered={false}
      />
      <NotMeasured desk={desk} />
      <Findings
        session={session}
        title="In the shot, in working order"
        listed={open.filter((each) => !isHere(each))}
        none="Nothing found on the other drawings."
        numbered
      />
      {settled.length > 0 && (
        <Fold class="findings" title={`Noted and dismissed (${settled.length})`}>
          {() => <Slips session={session} listed={settled} numbered />}
        </Fold>
      )}
      <ToleranceEditor session={session} />
    </div>
  );
}

function HowFar({ session, desk }: { session: Session; desk: ChecksDesk }): JSX.Element {
  const stopped = switchesOf(session).stopped.value;
  const { done, total } = desk.progress.value;
  if (desk.trouble.value)
    return (
      <p role="alert" class="notice wants">
        {desk.trouble} Everything is safe; open the shot again to go on.
      </p>
    );
  if (total === 0) return <p class="hint">There is no clean-up to check yet.</p>;
  return (
    <div class="how-far">
      <p role="status">
        {done < total
          ? `${stopped ? 'Stopped: checked' : 'Checked'} ${done} of ${total}`
          : `All ${total} drawings are checked.`}
      </p>
      {done < total && <progress max={total} value={done} aria-label="Drawings checked" />}
      {done < total && !stopped && !desk.rest.resting.value && (
        <p class="hint">Waits while your hand works.</p>
      )}
      {done < total && (
        <button type="button" class="button" onClick={() => commandById('checking stopped').run(session)}>
          {stopped ? 'Go on checking' : 'Stop checking'}
        </button>
      )}
    </div>
  );
}

function SwitchButton({
  session,
  id,
  children,
}: {
  session: Session;
  id: string;
  children: string;
}): JSX.Element {
  const command = commandById(id);
  return (
    <button
      type="button"
      aria-pressed={command.on?.(session)}
      title={command.label}
      onClick={() => command.run(session)}
    >
      {children}
    </button>
  );
}

interface FindingsProps {
  readonly session: Session;
  readonly title: string;
  readonly listed: readonly Listed[];
  readonly none: string;
  readonly numbered: boolean;
}

function Findings({ session, title, listed, none, numbered }: FindingsProps): JSX.Element {
  const measured = checksOf(session).measures.value !== undefined;
  return (
    <section class="findings">
      <h3>{listed.length > 0 ? `${title} (${listed.length})` : title}</h3>
      {listed.length > 0 ? (
        <Slips session={session} listed={listed} numbered={numbered} />
      ) : (
        measured && <p class="hint">{none}</p>
      )}
    </section>
  );
}

function Slips({
  session,
  listed,
  numbered,
}: Pick<FindingsProps, 'session' | 'listed' | 'numbered'>): JSX.Element {
  return (
    <ol class="finding-list">
      {listed.map((each) => (
        <FindingSlip key={each.finding.key} session={session} listed={each} numbered={numbered} />
      ))}
    </ol>
  );
}

/** Measures that could not be made of the drawing on the paper, each with its reason. */
function NotMeasured({ desk }: { desk: ChecksDesk }): JSX.Element | null {
  const here = desk.here.value;
  const level = desk.measured.value.get(here?.level ?? '');
  const found = level?.find(({ drawing }) => drawing.label === here?.drawing);
  if (!found?.measures) return null;
  const { weight, volume, leaks, specks, registration, drift, wobble } = found.measures;
  const made = {
    weight,
    volume,
    'volume against the rough': isRefused(volume) ? undefined : volume.againstRough,
    openings: leaks,
    specks,
    registration,
    drift,
    wobble,
    spacing: found.spacing,
    boil: found.boil,
  };
  const byReason = new Map<string, string[]>();
  for (const [name, measure] of Object.entries(made))
    if (measure !== undefined && typeof measure === 'object' && isRefused(measure))
      byReason.set(measure.refused, [...(byReason.get(measure.refused) ?? []), name]);
  if (byReason.size === 0) return null;
  return (
    <ul class="not-measured hint" aria-label="Not measured here">
      {[...byReason].map(([reason, names]) => (
        <li key={reason}>
          Not measured: {names.join(', ')} –{' '}
          {reason.charAt(0).toLowerCase() + reason.slice(1).replace(/\.$/, '')}.
        </li>
      ))}
    </ul>
  );
}
