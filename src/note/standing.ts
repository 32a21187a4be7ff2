/** How a finding of the checks stands with people: open, already a note, or dismissed. */
import { type DrawingRef, drawingKey } from '../shot/drawing-ref.ts';
import type { Shot } from '../shot/model.ts';
import { workingOrder } from '../shot/working-order.ts';
import { dismissalKey, type Notes } from './merge.ts';

/** What is looked at of a finding. */
type Judged = DrawingRef & { readonly key: string; readonly lineDigest: string };

export type Standing<F> =
  | { readonly finding: F; readonly standing: 'open' | 'noted' }
  /** Why, and the name or role of who dismissed it. */
  | { readonly finding: F; readonly standing: 'dismissed'; readonly reason: string; readonly by: string };

/**
 * In the order given. A note that was not withdrawn comes before a dismissal. A dismissal holds as long as the line at
 * its place has the same digest: a retake that changes the line brings the finding back.
 */
export function standingsOf<F extends Judged>(notes: Notes, findings: readonly F[]): Standing<F>[] {
  const noted = new Set(
    notes.notes.flatMap(({ withdrawn, pin }) => (withdrawn ? [] : (pin.body.finding ?? []))),
  );
  return findings.map((finding) => {
    if (noted.has(finding.key)) return { finding, standing: 'noted' };
    const dismissal = notes.dismissals.get(dismissalKey(finding, finding.key));
    if (!dismissal || dismissal.lineDigest !== finding.lineDigest) return { finding, standing: 'open' };
    const { reason, entry } = dismissal;
    return { finding, standing: 'dismissed', reason, by: entry.writer.name || entry.writer.role };
  });
}

/** The same in working order; those of a drawing stay as they are among themselves. */
export function inWorkingOrder<F extends DrawingRef>(
  { levels }: Pick<Shot, 'levels'>,
  standings: readonly Standing<F>[],
): Standing<F>[] {
  const order = new Map(workingOrder(levels).map((ref, index) => [drawingKey(ref), index]));
  // Of drawings that the shot does not have: last.
  const rank = ({ finding }: Standing<F>): number => order.get(drawingKey(finding)) ?? order.size;
  return standings.toSorted((a, b) => rank(a) - rank(b));
}
