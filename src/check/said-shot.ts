/**
 * A shot with what people said of it, as it is measured, judged and listed. The way from there is one, for the desk
 * and the prompt: `findingsOf` (shot, measures, tolerances), `standingsOf` (notes, findings), `fixList` (shot, notes,
 * findings). Pure.
 */
import { applyEntries } from '../note/apply.ts';
import type { Entry } from '../note/entry.ts';
import { mergeNotes, type Notes } from '../note/merge.ts';
import { saidTolerances } from '../note/said-tolerances.ts';
import type { Shot } from '../shot/model.ts';
import { defaultTolerances, type Tolerances } from './tolerances.ts';

/** A shot after everything that was said of it. */
export interface SaidShot {
  /** With the roles, charts and exposures of the entries. */
  readonly shot: Shot;
  readonly notes: Notes;
  readonly tolerances: Tolerances;
}

export function saidShot(base: Shot, entries: readonly Entry[]): SaidShot {
  return {
    shot: applyEntries(base, entries),
    notes: mergeNotes(entries),
    tolerances: tolerancesIn(entries),
  };
}

/** The defaults, and over them what was said of each. */
export function tolerancesIn(entries: readonly Entry[]): Tolerances {
  const said = saidTolerances(entries);
  const known = Object.entries(defaultTolerances).map(([name, usual]) => [name, said.get(name) ?? usual]);
  return Object.fromEntries(known) as Tolerances;
}
