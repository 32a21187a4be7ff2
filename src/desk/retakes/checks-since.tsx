/** The checks since the retakes: what fails anew, and what became of what failed before. */

import { computed } from '@preact/signals';
import type { ComponentChildren, JSX } from 'preact';
import { useMemo } from 'preact/hooks';
import type { Finding } from '../../check/finding.ts';
import { pairOf } from '../../note/retakes/items.ts';
import { drawingOf } from '../../shot/drawing-ref.ts';
import { checksOf } from '../checks/checks-desk.ts';
import { Mark } from '../mark.tsx';
import type { Session } from '../session.ts';
import { beforeRetakes, freshFindings, stillFails } from './fresh.ts';
import type { RetakesDesk } from './retakes-desk.ts';
import { VerdictSign } from './verdict-sign.tsx';

interface ChecksSinceProps {
  readonly session: Session;
  readonly desk: RetakesDesk;
}

export function ChecksSince({ session, desk }: ChecksSinceProps): JSX.Element | null {
  const since = useMemo(() => sinceRetakes(session), [session]);
  const found = since.value;
  if (found === 'no retakes') return null;
  if (found === 'measuring')
    return <p class="hint">Looking whether a check fails that passed on the take before …</p>;
  const { fresh, before, now, widthPx } = found;
  const pairOfFinding = ({ level, drawing }: Finding) =>
    pairOf(drawingOf(session.shot.value, { level, drawing }), undefined, undefined);
  return (
    <section class="since" aria-label="Checks since the retakes">
      {fresh.length === 0 && <p class="hint">No check fails that passed on the take before.</p>}
      <ol>
        {fresh.map((finding) => (
          <FindingRow key={finding.key} session={session} finding={finding}>
            <b class="new-word">new</b>
          </FindingRow>
        ))}
        {before.map((finding) => {
          const takes = pairOfFinding(finding);
          const image = takes?.older.image;
          return (
            takes &&
            image && (
              <FindingRow key={`before ${finding.key}`} session={session} finding={finding}>
                <VerdictSign verdict={desk.verdictAt(takes, finding.bbox, [image.width, image.height])} />{' '}
                {stillFails(finding, now, widthPx) ? 'still fails' : 'passes now'}
              </FindingRow>
            )
          );
        })}
      </ol>
    </section>
  );
}

/** What is dismissed is not told as new; it fails all the same. */
function sinceRetakes(session: Session) {
  const checks = checksOf(session);
  const earlier = computed(() => {
    const shot = beforeRetakes(session.shot.value);
    return shot && checks.findingsFor(shot);
  });
  return computed(() => {
    const then = earlier.value;
    if (!then) return 'no retakes';
    const { done, total } = checks.progress.value;
    if (!then.value || done < total) return 'measuring';
    const { shot } = session;
    const widthPx = shot.value.sizePx[0];
    const isRetaken = ({ level, drawing }: Finding): boolean =>
      (drawingOf(shot.value, { level, drawing })?.takes.length ?? 0) > 1;
    const listed = checks.listed.value;
    const wanted = listed.filter(({ standing }) => standing !== 'dismissed').map(({ finding }) => finding);
    return {
      fresh: freshFindings(wanted, then.value, widthPx),
      before: then.value.filter(isRetaken),
      now: listed.map(({ finding }) => finding),
      widthPx,
    };
  });
}

interface FindingRowProps {
  readonly session: Session;
  readonly finding: Finding;
  readonly children: ComponentChildren;
}

function FindingRow({ session, finding, children }: FindingRowProps): JSX.Element {
  const { level, drawing: label, message } = finding;
  return (
    <li>
      <button type="button" onClick={() => checksOf(session).goTo(finding)}>
        <span class="item-number">
          <Mark
            drawing={drawingOf(session.shot.value, { level, drawing: label }) ?? { label, takes: [] }}
            size={16}
          />
          <span class="unseen">Drawing {label}</span>
        </span>
        <span class="rest-words">
          <span>{message}</span>
          <span class="rest-facts">{children}</span>
        </span>
      </button>
    </li>
  );
}
