import type { Finding } from '../check/finding.ts';
import type { Shot } from '../shot/model.ts';
import { tableOf } from './table-of.ts';

/** The findings drawing by drawing, as text to read. */
export function findingsTable(shot: Shot, findings: readonly Finding[]): string {
  const drawings = shot.levels.reduce((sum, level) => sum + level.drawings.length, 0);
  if (findings.length === 0)
    return `${shot.title}: nothing found in ${drawings === 1 ? 'one drawing' : `${drawings} drawings`}.`;
  const rows = findings.map(({ level, drawing, check, message, bbox }) => [
    level ? `${level} ${drawing}` : drawing,
    check,
    message,
    `[${bbox.join(', ')}]`,
  ]);
  const heads = ['drawing', 'check', 'what', 'where, px'];
  const total = findings.length === 1 ? 'one finding' : `${findings.length} findings`;
  return [
    `${shot.title}: ${total} in ${drawings === 1 ? 'one drawing' : `${drawings} drawings`}`,
    '',
    ...tableOf(heads, rows),
  ].join('\n');
}
