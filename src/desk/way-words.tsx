import type { JSX } from 'preact';
import { commandById } from './commands.ts';
import { compareOf } from './model.ts';
import { useSession } from './session-context.ts';

/** What is being looked at, in words; silent while it is the clean drawing alone. */
export function WayWords(): JSX.Element | null {
  const session = useSession();
  const compare = compareOf(session.model.value);
  const words = session.laid.value?.words(compare.way);
  if (compare.way === 'clean' && !words) return null;
  const amount = compare.way === 'underlay' ? `, ${Math.round(compare.opacity * 100)} %` : '';
  return (
    <span class="way-words">
      {words ?? commandById(`way ${compare.way}`).label}
      {amount}
    </span>
  );
}
