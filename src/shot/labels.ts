/**
 * Drawing numbers are labels: `12`, `12A`, `A12`. They are told apart as text and ordered as numbers.
 */

/** Characters a label may have at most (entries refuse more). */
export const longestLabel = 64;

/**
 * A label as it is written on paper: no space around it, no zeros before a number, a letter after a
 * number in capitals, wide digits made plain (Unicode NFKC). `'0012a'` → `'12A'`; `'000'` → `'0'`.
 */
export function tidyLabel(text: string): string {
  return text
    .normalize('NFKC')
    .trim()
    .replace(/(?<!\d)0+(?=\d)/g, '')
    .replace(/(\d)([a-z])(?![a-z])/g, (_, digit: string, letter: string) => digit + letter.toUpperCase());
}

/**
 * Natural order: runs of digits as numbers, all else by code point, so 2 < 10 < 10A < 11.
 * Returns < 0, 0 or > 0; 0 only for identical labels.
 */
export function compareLabels(a: string, b: string): number {
  const runsA = runs(a);
  const runsB = runs(b);
  for (let i = 0; i < Math.min(runsA.length, runsB.length); i++) {
    const order = compareRuns(runsA[i] ?? '', runsB[i] ?? '');
    if (order !== 0) return order;
  }
  return runsA.length - runsB.length || compareText(a, b);
}

function runs(label: string): string[] {
  return label.match(/\d+|\D+/g) ?? [];
}

function compareRuns(a: string, b: string): number {
  const numeric = /^\d/.test(a);
  if (numeric !== /^\d/.test(b)) return numeric ? -1 : 1;
  if (!numeric) return compareText(a, b);
  // Not parsed: a label of thirty digits must still be ordered rightly.
  const [x, y] = [a.replace(/^0+(?=\d)/, ''), b.replace(/^0+(?=\d)/, '')];
  return x.length - y.length || compareText(x, y);
}

function compareText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
