/** What is missing in a level, told and not asked: nothing is wrong with the files that came. */
import { layerHint, nameParts } from './names.ts';
import type { Notes } from './plan-input.ts';
import type { PlannedLevel } from './types.ts';

interface About {
  readonly several: boolean;
  readonly title: string;
  /** Paths of files that were refused: what is said of them says it all. */
  readonly refused: readonly string[];
}

/** Adds a line for roughs without clean, cleans without rough, and numbers left out of a regular row. */
export function tellGaps(level: PlannedLevel, { several, title, refused }: About, notes: Notes): void {
  const { drawings } = level;
  const came = refused.map((path) => {
    const parts = nameParts(path);
    return { layer: layerHint(parts).layer, labels: new Set(parts.fields.map(({ label }) => label)) };
  });
  const wasRefused = (label: string, layer?: 'rough' | 'clean') =>
    came.some((file) => file.labels.has(label) && (!layer || !file.layer || file.layer === layer));
  const name = several && level.name ? `${title}, ${level.name}` : title;
  const tell = (why: string, todo: string) => notes.odd.push({ name, why, todo, taken: true });
  const without = (layer: 'rough' | 'clean') =>
    drawings
      .filter(({ rough, cleans }) => (layer === 'rough' ? !rough : cleans.length === 0))
      .flatMap(({ label }) => (wasRefused(label, layer) ? [] : label));
  const [noRough, noClean] = [without('rough'), without('clean')];
  const any = (layer: 'rough' | 'clean') =>
    drawings.some(({ rough, cleans }) => (layer === 'rough' ? rough : cleans.length > 0));
  if (noRough.length > 0 && any('rough'))
    tell(`there is no rough for ${listed(noRough)}`, 'Add it if there is one; the clean was taken.');
  if (noClean.length > 0 && any('clean'))
    tell(`there is no clean for ${listed(noClean)} yet`, 'Add it when it is drawn.');
  const gaps = missingNumbers(drawings.map(({ label }) => label)).filter((label) => !wasRefused(label));
  if (gaps.length > 0)
    tell(
      gaps.length === 1
        ? `number ${listed(gaps)} is missing between its neighbours`
        : `numbers ${listed(gaps)} are missing between their neighbours`,
      'Look whether a file was forgotten.',
    );
}

/**
 * Numbers left out of a row that is regular otherwise: most neighbours are one step apart (1, 3, 5 have step
 * 2), and a gap is a whole number of steps, not more of them than there are numbers. An irregular row has no gaps:
 * nothing can be said of it.
 */
export function missingNumbers(labels: readonly string[]): string[] {
  const numbers = [...new Set(labels.filter((label) => /^\d{1,9}$/.test(label)).map(Number))].sort(
    (a, b) => a - b,
  );
  const steps = numbers.slice(1).map((number, i) => number - (numbers[i] ?? 0));
  const step = [...new Set(steps)].sort((a, b) => count(steps, b) - count(steps, a) || a - b)[0] ?? 0;
  if (steps.length < 2 || count(steps, step) * 2 <= steps.length) return [];
  return steps.flatMap((gap, i) => {
    const from = numbers[i] ?? 0;
    const missing = gap / step - 1;
    // More missing than there are: another count began there (a date, say), and no file was forgotten.
    if (gap % step !== 0 || missing > numbers.length) return [];
    return Array.from({ length: missing }, (_, k) => String(from + (k + 1) * step));
  });
}

function count(steps: readonly number[], step: number): number {
  return steps.filter((other) => other === step).length;
}

const mostListed = 12;

function listed(labels: readonly string[]): string {
  const rest = labels.length - mostListed;
  return labels.slice(0, mostListed).join(', ') + (rest > 0 ? ` and ${rest} more` : '');
}
