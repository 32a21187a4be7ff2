/** Whether the line at a note's place was redrawn, as a pencil sign and in words. */
import type { JSX } from 'preact';
import type { Item } from '../../note/retakes/items.ts';
import { type Verdict, type VerdictSummary, verdictWords } from '../../note/retakes/verdict.ts';

/** The box is the note's place: a new stroke goes through it, past it, or there is none. */
const shapes: Readonly<Record<Verdict, string>> = {
  'redrawn here': 'M5 6h10v9H5zM2 13c4-6 8 4 16-5',
  'redrawn elsewhere': 'M2 8h8v8H2zM12 4c4 4 2 8 6 12',
  'not redrawn since': 'M5 6h10v9H5z',
  looking: 'M4 11v.01M10 11v.01M16 11v.01',
  'not to be told': 'M5 6h10v9H5zM8 8.500l4 4M12 8.500l-4 4',
  'not compared': 'M5 6h10v9H5zM8 8.500l4 4M12 8.500l-4 4',
};

interface VerdictSignProps {
  readonly verdict: Verdict | undefined;
  readonly madeOn?: Item['madeOn'];
  /** Of a note that holds for several drawings. */
  readonly told?: Pick<VerdictSummary, 'here' | 'of'>;
}

export function VerdictSign({ verdict, madeOn = 'a take', told }: VerdictSignProps): JSX.Element | null {
  if (verdict === undefined) return null;
  return (
    <span class="verdict" data-verdict={verdict}>
      <svg width="20" height="20" viewBox="0 0 20 20" aria-hidden="true">
        <path d={shapes[verdict]} />
      </svg>
      <span>{verdictWords(verdict, madeOn, told)}</span>
    </span>
  );
}

/** Of a note, whatever it holds for. */
export function NoteVerdict({
  told,
  madeOn,
}: {
  told: VerdictSummary | undefined;
  madeOn?: Item['madeOn'];
}): JSX.Element | null {
  return told ? <VerdictSign verdict={told.verdict} told={told} {...(madeOn && { madeOn })} /> : null;
}
