/** Traditional notation of roles on paper: circled, underlined, plain; a triangle on thirds. */
import type { Drawing } from './model.ts';

export interface Notation {
  /** Key circled, breakdown underlined, in-between plain; a drawing without role is plain too. */
  readonly mark: 'circle' | 'underline' | 'plain';
  /** Drawn round an in-between's number when it favours one side. */
  readonly triangle: boolean;
  /** The drawing it favours (lies nearer to), when `triangle`. */
  readonly favours?: string;
  /** For a reader of the screen, e.g. `key`, `in-between, nearer to 5`. Empty without role. */
  readonly words: string;
}

/** Further from the middle than this, an in-between favours a side: a third (0.33) does, 0.45 does not. */
const favourFrom = 0.12;

/** How a drawing's number is written (common practice, no source). */
export function notationOf(drawing: Drawing): Notation {
  const { role, chart } = drawing;
  if (role === 'key') return { mark: 'circle', triangle: false, words: 'key' };
  if (role === 'breakdown') return { mark: 'underline', triangle: false, words: 'breakdown' };
  const words = role === 'inbetween' ? 'in-between' : '';
  if (role !== 'inbetween' || !chart || Math.abs(chart.fraction - 0.5) < favourFrom)
    return { mark: 'plain', triangle: false, words };
  const favours = chart.fraction < 0.5 ? chart.from : chart.to;
  return { mark: 'plain', triangle: true, favours, words: `${words}, nearer to ${favours}` };
}
