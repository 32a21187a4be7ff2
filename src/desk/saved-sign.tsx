import type { JSX } from 'preact';
import { useSession } from './session-context.ts';

/** Small and honest: saved, saving, not saved. */
export function SavedSign(): JSX.Element {
  const { saved } = useSession().ledger;
  return <span class={saved.value === 'not saved' ? 'saved-sign wants' : 'saved-sign'}>{saved}</span>;
}
