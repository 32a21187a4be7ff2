/** What the takes say of a note: whether its place was redrawn, over all the drawings it holds for. Pure. */
import type { Box } from '../../line/picture.ts';
import { type Redrawn, redrawnAt, type TakeChange } from '../../line/redrawn.ts';
import type { NoteState } from '../entry.ts';
import type { Item, TakePair } from './items.ts';

/** Of a note: whether its place was redrawn; `looking` until that is known. */
export type Verdict = Redrawn | 'looking' | 'not to be told' | 'not compared';

/** The verdict of a note, over all the drawings it holds for. */
export interface VerdictSummary {
  readonly verdict: Verdict;
  /** How many were redrawn at its place, of how many. */
  readonly here: number;
  readonly of: number;
  /** Those that were not, and those of which it is not known; in the order of the note. */
  readonly notHere: readonly string[];
  readonly unknown: readonly string[];
}

/** What changed between two takes, and the size at which they were compared. */
export interface ComparedTakes {
  readonly change: TakeChange;
  /** Of the older picture that was compared: the cells' px. */
  readonly sizePx: readonly [width: number, height: number];
}

/** The verdict for a box in px of a picture of `sizePx`, whatever size was compared. */
export function verdictAt(
  { change, sizePx: [width, height] }: ComparedTakes,
  box: Box,
  sizePx: readonly [number, number],
): Redrawn {
  const [x, y, w, h] = box;
  const [across, down] = [width / sizePx[0], height / sizePx[1]];
  return redrawnAt(change, [x * across, y * down, w * across, h * down]);
}

/** `at` says it of the place of the note between two takes. */
export function verdictOf(item: Item, at: (takes: TakePair) => Verdict): VerdictSummary {
  const verdicts = [item, ...item.others].map(({ drawing, madeOn, takes }) => ({
    drawing,
    verdict: takes
      ? at(takes)
      : madeOn === 'a take'
        ? ('not redrawn since' as const)
        : ('not to be told' as const),
  }));
  const has = (wanted: Verdict): boolean => verdicts.some(({ verdict }) => verdict === wanted);
  const those = (...wanted: readonly Verdict[]): string[] =>
    verdicts.filter(({ verdict }) => wanted.includes(verdict)).map(({ drawing }) => drawing);
  return {
    verdict: has('looking') ? 'looking' : (rest.find(has) ?? 'redrawn here'),
    here: those('redrawn here').length,
    of: verdicts.length,
    notHere: those('redrawn elsewhere', 'not redrawn since'),
    unknown: those('not compared', 'not to be told'),
  };
}

/** From the best known to the least: one word for drawings that were not redrawn at the place. */
const rest: readonly Verdict[] = ['redrawn elsewhere', 'not redrawn since', 'not compared', 'not to be told'];

/** Worth telling among other words: the line moved, or the note is said to be fixed and it did not. */
export function isTelling({ here, verdict }: VerdictSummary, state: NoteState): boolean {
  return (
    (here > 0 && verdict !== 'looking') ||
    verdict === 'redrawn elsewhere' ||
    (verdict === 'not redrawn since' && state === 'fixed')
  );
}

export function verdictWords(
  verdict: Verdict,
  madeOn: Item['madeOn'] = 'a take',
  told?: Pick<VerdictSummary, 'here' | 'of'>,
): string {
  if (verdict === 'looking') return 'looking …';
  if (told && told.here > 0 && told.here < told.of) return `redrawn here on ${told.here} of ${told.of}`;
  if (verdict === 'not compared') return 'could not be compared';
  if (verdict === 'not to be told')
    return madeOn === 'the rough' ? 'made on the rough' : 'its take is not here';
  return verdict;
}
