/** What could not be measured of drawings: told, so that a person looks there. */
import { isRefused } from '../../line/refused.ts';
import type { Shot } from '../../shot/model.ts';
import type { ShotMeasures } from '../checker.ts';
import { measuredOf } from '../measured.ts';

export interface Unjudged {
  readonly line: 'closed' | 'weight' | 'specks';
  readonly level: string;
  readonly drawing: string;
  readonly why: string;
}

export function unjudgedIn(shot: Shot, measures: ShotMeasures, mostGapPx: number): Unjudged[] {
  return shot.levels.flatMap((level) =>
    measuredOf(level, measures, mostGapPx).flatMap(({ drawing, measures: own }): Unjudged[] => {
      if (!own) return [];
      const asked = [
        ['closed', own.leaks],
        ['weight', own.weight],
        ['specks', own.specks],
      ] as const;
      return asked.flatMap(([line, measure]) =>
        isRefused(measure) ? [{ line, level: level.name, drawing: drawing.label, why: measure.refused }] : [],
      );
    }),
  );
}
