/** The checks beside the paper: how far they are, what lies over the line, what they found, what counts. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { isRefused } from '../../line/refused.ts';
import { commandById } from '../commands.ts';
import type { Session } from '../session.ts';
import { alike } from './alike.ts';
import { type ChecksDesk, checksOf, type Listed } from './checks-desk.ts';
import { FindingSlip } from './finding-slip.tsx';
import { Fold } from './fold.tsx';
import { partsUnsure } from './parts-curve.ts';
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
  const settled = listed.filter(({ standing }) => standing !== 'open');
  return (
    <div class="checks">
      <HowFar session={session} desk={desk} />
      <Open session={session} listed={listed.filter(({ standing }) => standing === 'open')} />
      <NotMeasured session={session} desk={desk} />
      {settled.length > 0 && (
        <Fold class="findings" title={`Noted and dismissed (${settled.length})`}>
          {() => (
            <ol class="finding-list">
              {settled.map((each) => (
                <FindingSlip key={each.finding.key} session={session} listed={each} />
              ))}
            </ol>
          )}
        </Fold>
      )}
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
      <ToleranceEditor session={session} />
    </div>
  );
}

/** The open ones in working order: the list stands still under the finger, whatever lies on the paper. */
function Open({ session, listed }: { session: Session; listed: readonly Listed[] }): JSX.Element | null {
  const desk = checksOf(session);
  if (desk.measures.value === undefined && listed.length === 0) return null;
  return (
    <section class="findings">
      <h3>{listed.length > 0 ? `Found, in working order (${listed.length})` : 'Nothing found'}</h3>
      {listed.length > 0 && (
        <button type="button" class="button next-finding" onClick={() => desk.step(1)}>
          {desk.chosen.value === undefined ? 'Go through them' : 'Next'}
        </button>
      )}
      <ol class="finding-list">
        {alike(listed).map((group) => (
          <Group key={group[0]?.finding.key} session={session} group={group} />
        ))}
      </ol>
    </section>
  );
}

/** The first of a kind on a drawing; the others when they are asked for, or when one of them is gone to. */
function Group({ session, group }: { session: Session; group: readonly Listed[] }): JSX.Element {
  const all = useSignal(false);
  const chosen = checksOf(session).chosen.value;
  const [first, ...others] = group;
  const open = all.value || others.some(({ finding }) => finding.key === chosen);
  return (
    <>
      {first && <FindingSlip session={session} listed={first} />}
      {open
        ? others.map((each) => <FindingSlip key={each.finding.key} session={session} listed={each} />)
        : others.length > 0 && (
            <li class="like-it">
              <button
                type="button"
                class="in-text"
                onClick={() => {
                  all.value = true;
                }}
              >
                {others.length} more like it on {first?.finding.drawing}
              </button>
            </li>
          )}
    </>
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

/** Measures that could not be made of the drawing on the paper, each with its reason. */
function NotMeasured({ session, desk }: { session: Session; desk: ChecksDesk }): JSX.Element | null {
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
  const at = level?.indexOf(found) ?? -1;
  const runs = desk.runs.value.get(here?.level ?? '')?.[at] ?? [];
  for (const [reason, places] of partsUnsure(runs, session.shot.value.sizePx))
    byReason.set(reason, [...(byReason.get(reason) ?? []), `volume over the shot ${places}`]);
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
