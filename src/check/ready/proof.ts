/** What was proved, as data to lie beside the drawings: paint can tell by its hashes whether it still holds. */
import type { HouseRules } from '../../note/entry.ts';
import type { Exposure, Shot } from '../../shot/model.ts';
import { cleanOf } from '../../shot/takes.ts';
import type { Tolerances } from '../tolerances.ts';
import type { Ready } from './ready.ts';

/** See `public/schemas/ready.schema.json`. */
export interface Proof extends Ready {
  readonly format: 'fairpeg ready';
  readonly v: 1;
  readonly title: string;
  /** ISO 8601, UTC. */
  readonly at: string;
  /** What was allowed when it was proved. */
  readonly tolerances: Tolerances;
  readonly house: Omit<HouseRules, 'kind'>;
  readonly levels: readonly ProofLevel[];
}

interface ProofLevel {
  readonly name: string;
  readonly exposures: readonly Exposure[];
  /** Null where there is no clean-up. */
  readonly drawings: readonly {
    readonly label: string;
    readonly take: number | null;
    readonly sha256: string | null;
  }[];
}

export function proofOf(
  shot: Shot,
  ready: Ready,
  { tolerances, house, at }: { tolerances: Tolerances; house: HouseRules; at: Date },
): Proof {
  const { kind: _, ...rules } = house;
  return {
    format: 'fairpeg ready',
    v: 1,
    title: shot.title,
    at: at.toISOString(),
    ready: ready.ready,
    lines: ready.lines,
    aside: ready.aside,
    tolerances,
    house: rules,
    levels: levelsOf(shot),
  };
}

function levelsOf({ levels }: Shot): ProofLevel[] {
  return levels.map(({ name, drawings, exposures }) => ({
    name,
    exposures: exposures.map(({ drawing, frame, length }) => ({ drawing, frame, length })),
    drawings: drawings.map((drawing) => ({
      label: drawing.label,
      take: drawing.takes.at(-1)?.number ?? null,
      sha256: cleanOf(drawing)?.sha256 ?? null,
    })),
  }));
}

/** What is not as it was proved, a sentence each; empty when all of it still holds. */
export function changedSince(shot: Shot, proof: Pick<Proof, 'levels'>): string[] {
  const now = levelsOf(shot);
  const said: string[] = [];
  const nameOf = (level: string, drawing: string): string => (level ? `${level} ${drawing}` : drawing);
  for (const { name, drawings, exposures } of proof.levels) {
    const its = now.find((level) => level.name === name);
    for (const { label, sha256 } of drawings) {
      const drawing = its?.drawings.find((one) => one.label === label);
      if (!drawing) said.push(`Drawing ${nameOf(name, label)} is gone.`);
      else if (drawing.sha256 !== sha256)
        said.push(`Drawing ${nameOf(name, label)} is another picture than the one that was proved.`);
    }
    if (its && JSON.stringify(its.exposures) !== JSON.stringify(exposures))
      said.push(name ? `The exposures of level ${name} have changed.` : 'The exposures have changed.');
  }
  for (const { name, drawings } of now) {
    const proved = proof.levels.find((level) => level.name === name)?.drawings ?? [];
    for (const { label } of drawings)
      if (!proved.some((one) => one.label === label))
        said.push(`Drawing ${nameOf(name, label)} was not there when it was proved.`);
  }
  return said;
}
