/** What a retake broke: checks that passed before and fail now, each a way to its drawing. */
import { computed } from '@preact/signals';
import type { JSX } from 'preact';
import { useMemo } from 'preact/hooks';
import { checksOf } from '../checks/checks-desk.ts';
import { Mark } from '../mark.tsx';
import type { Session } from '../session.ts';
import { beforeRetakes, freshFindings } from './fresh.ts';
import { drawingIn } from './items.ts';

export function FreshOnes({ session }: { session: Session }): JSX.Element | null {
  const fresh = useMemo(() => {
    const checks = checksOf(session);
    const before = computed(() => {
      const shot = beforeRetakes(session.shot.value);
      return shot && checks.findingsFor(shot);
    });
    return computed(() => {
      const then = before.value;
      if (!then) return 'no retakes';
      const { done, total } = checks.progress.value;
      if (!then.value || done < total) return 'measuring';
      const now = checks.listed.value.flatMap(({ finding, standing }) =>
        standing === 'dismissed' ? [] : [finding],
      );
      return freshFindings(now, then.value, session.shot.value.sizePx[0]);
    });
  }, [session]);
  const found = fresh.value;
  if (found === 'no retakes') return null;
  return (
    <section class="fresh" aria-label="Checks since the retakes">
      {found === 'measuring' ? (
        <p class="hint">Looking whether a check fails that passed on the take before …</p>
      ) : found.length === 0 ? (
        <p class="hint">No check fails that passed on the take before.</p>
      ) : (
        <>
          <h3>New since the take before</h3>
          <ol>
            {found.map((finding) => (
              <li key={finding.key}>
                <button type="button" onClick={() => checksOf(session).goTo(finding)}>
                  <span class="item-number">
                    <Mark
                      drawing={
                        drawingIn(session.shot.value, finding.level, finding.drawing) ?? {
                          label: finding.drawing,
                          takes: [],
                        }
                      }
                      size={16}
                    />
                    <span class="unseen">Drawing {finding.drawing}</span>
                  </span>
                  <span>
                    <b class="new-word">new</b> {finding.message}
                  </span>
                </button>
              </li>
            ))}
          </ol>
        </>
      )}
    </section>
  );
}
