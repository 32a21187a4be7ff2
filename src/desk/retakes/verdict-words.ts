/** What the takes say of a note, in words. */
import type { Item } from './items.ts';
import type { Verdict, VerdictSummary } from './retakes-desk.ts';

export function verdictWords(
  verdict: Verdict,
  madeOn: Item['madeOn'] = 'a take',
  told?: Pick<VerdictSummary, 'here' | 'of'>,
): string {
  if (verdict === 'looking') return 'looking …';
  if (told && told.here > 0 && told.here < told.of) return `redrawn here on ${told.here} of ${told.of}`;
  if (verdict === 'not compared') return 'could not be compared';
  if (verdict === 'not to be told')
    return madeOn === 'the rough' ? 'made on the rough' : 'its take is not on this tablet';
  return verdict;
}
