/** One finding: a tap leads there; in hand it can become a note or be dismissed with a reason. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { drawingOf } from '../../shot/drawing-ref.ts';
import { openMending } from '../line-part.ts';
import { Mark } from '../mark.tsx';
import type { Session } from '../session.ts';
import { checksOf, type Listed, sentence } from './checks-desk.ts';

/** What most dismissals say; anything else is typed. */
const reasons = ['Meant so', 'Already in the rough', 'Too small to see', 'Not a fault'] as const;

export interface FindingSlipProps {
  readonly session: Session;
  readonly listed: Listed;
}

export function FindingSlip({ session, listed }: FindingSlipProps): JSX.Element {
  const desk = checksOf(session);
  const { finding, standing } = listed;
  const inHand = desk.chosen.value === finding.key;
  const place = useRef<HTMLLIElement>(null);
  useEffect(() => {
    // It was gone to by a key or by Next, and may be out of view.
    if (inHand) place.current?.scrollIntoView({ block: 'nearest' });
  }, [inHand]);
  const drawing = drawingOf(session.shot.value, finding);
  const here = desk.here.value;
  const isHere = here?.level === finding.level && here.drawing === finding.drawing;
  return (
    <li
      ref={place}
      class={['finding', inHand && 'in-hand', isHere && 'here'].filter(Boolean).join(' ')}
      data-check={finding.check}
      data-drawing={finding.drawing}
    >
      <button
        type="button"
        class="finding-face"
        aria-expanded={inHand}
        onClick={() => {
          if (inHand) desk.chosen.value = undefined;
          else desk.goTo(finding);
        }}
      >
        <span class="finding-number">
          <Mark drawing={drawing ?? { label: finding.drawing, takes: [] }} size={16} />
          <span class="unseen">Drawing {finding.drawing}</span>
        </span>
        <span>
          {sentence(finding.message)}
          {session.shot.value.levels.length > 1 && <span class="finding-facts">{finding.level}</span>}
          {standing === 'noted' && <span class="finding-facts">is a note</span>}
          {listed.standing === 'dismissed' && (
            <span class="finding-facts">
              dismissed by {listed.by}: {listed.reason}
            </span>
          )}
        </span>
      </button>
      {inHand && standing === 'open' && <Answers session={session} listed={listed} />}
      {inHand && standing === 'dismissed' && (
        <p class="finding-ends">
          <button type="button" class="button" onClick={() => desk.bringBack(finding)}>
            Bring back
          </button>
        </p>
      )}
    </li>
  );
}

function Answers({ session, listed: { finding } }: { session: Session; listed: Listed }): JSX.Element {
  const desk = checksOf(session);
  const asking = useSignal(false);
  const own = useSignal('');
  const dismiss = (why: string): void => desk.dismiss(finding, why);
  return (
    <div class="finding-ends">
      <button type="button" class="button" onClick={() => desk.pin(finding)}>
        Pin as a note
      </button>
      {(finding.check === 'leaks' || finding.check === 'specks') && (
        <button type="button" class="button" onClick={() => openMending(session)}>
          Mend
        </button>
      )}
      <button
        type="button"
        class="button"
        aria-expanded={asking.value}
        onClick={() => {
          asking.value = !asking.peek();
        }}
      >
        Dismiss
      </button>
      {asking.value && (
        <form
          class="reasons"
          aria-label="Why it is dismissed"
          onSubmit={(event) => {
            event.preventDefault();
            const why = own.peek().trim();
            if (why) dismiss(why);
          }}
        >
          {reasons.map((why) => (
            <button key={why} type="button" class="button" onClick={() => dismiss(why)}>
              {why}
            </button>
          ))}
          <label class="field">
            Another reason
            <input
              type="text"
              maxLength={500}
              value={own.value}
              onInput={(event) => {
                own.value = event.currentTarget.value;
              }}
            />
          </label>
          <button type="submit" class="button" disabled={own.value.trim() === ''}>
            Dismiss for this
          </button>
        </form>
      )}
    </div>
  );
}
