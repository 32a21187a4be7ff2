/** On which paper a print is made. */
import type { Signal } from '@preact/signals';
import type { JSX } from 'preact';

export type PrintPaper = 'A4' | 'Letter';

/** Where letters are written on Letter (common practice, no source). */
const letterLands = new Set(['US', 'CA', 'MX', 'PH', 'CL', 'CO', 'VE']);

/** Where a language is most likely at home, as far as the browser can tell; some name theirs in ways of their own. */
function landOf(language: string): string {
  try {
    return new Intl.Locale(language).maximize().region ?? '';
  } catch {
    return '';
  }
}

export const paperHere = (): PrintPaper => (letterLands.has(landOf(navigator.language)) ? 'Letter' : 'A4');

export const PaperSelect = ({ paper }: { paper: Signal<PrintPaper> }): JSX.Element => (
  <select
    aria-label="Paper"
    value={paper.value}
    onChange={(event) => {
      paper.value = event.currentTarget.value === 'Letter' ? 'Letter' : 'A4';
    }}
  >
    <option>A4</option>
    <option>Letter</option>
  </select>
);
