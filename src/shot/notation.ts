/**
 * Traditional notation of roles on paper: circled, underlined, plain; a triangle on thirds. And a sign of our own: an arc
 * beneath what runs on.
 */
import { fractionWords } from './fraction-words.ts';
import type { Chart, Drawing } from './model.ts';

export interface Notation {
  /** Key circled, breakdown underlined, in-between plain; a drawing without role is plain too. */
  readonly mark: 'circle' | 'underline' | 'plain';
  /** Drawn round an in-between's number when it, or a part of it, favours one side. */
  readonly triangle: boolean;
  /** An arc that swings on beneath the number: it runs on after the pose. */
  readonly runsOn: boolean;
  /** The drawing it favours (lies nearer to) as a whole. */
  readonly favours?: string;
  /** `key`, `in-between`; empty without role. */
  readonly role: string;
  /** What a line of words says beside the number: each part with its fraction, that it runs on. */
  readonly beside: readonly string[];
  /** All of it for a reader of the screen, e.g. `key`, `in-between, nearer to 5`. Empty without anything to say. */
  readonly words: string;
}

/** Further from the middle than this, an in-between favours a side: a third (0.33) does, 0.45 does not. */
const favourFrom = 0.12;

const favoursSide = (fraction: number): boolean => Math.abs(fraction - 0.5) >= favourFrom;

const marks = { key: 'circle', breakdown: 'underline', inbetween: 'plain' } as const;
const roles = { key: 'key', breakdown: 'breakdown', inbetween: 'in-between' } as const;

/** The chart that a drawing is held to: only an in-between is, and not when it runs on. */
export function heldChart({ role, chart, runsOn }: Drawing): Chart | undefined {
  return role === 'inbetween' && !runsOn ? chart : undefined;
}

/** How a drawing's number is written (common practice, no source; the arc is our own). */
export function notationOf(drawing: Drawing): Notation {
  const { role: part, runsOn = false } = drawing;
  const role = part ? roles[part] : '';
  const held = heldChart(drawing);
  const parts = held?.parts ?? [];
  const favours =
    held && favoursSide(held.fraction) ? (held.fraction < 0.5 ? held.from : held.to) : undefined;
  const beside = [
    ...parts.map(({ words, fraction }) => `${words.trim()} at ${fractionWords(fraction)}`),
    ...(runsOn ? ['runs on after the pose'] : []),
  ];
  return {
    mark: part ? marks[part] : 'plain',
    triangle: favours !== undefined || parts.some(({ fraction }) => favoursSide(fraction)),
    runsOn,
    ...(favours !== undefined && { favours }),
    role,
    beside,
    words: [role, favours === undefined ? '' : `nearer to ${favours}`, ...beside].filter(Boolean).join(', '),
  };
}
