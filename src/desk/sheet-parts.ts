/** A chart's parts beside a number on the exposure sheet: `⅓ sleeve`, as many as there is room for. Pure. */
import { fractionSign } from '../shot/fraction-words.ts';
import type { Drawing } from '../shot/model.ts';
import { heldChart } from '../shot/notation.ts';

interface Room {
  readonly levelPx: number;
  /** Height of the number's digits. */
  readonly numberPx: number;
  /** From the number's middle to the end of its hold. */
  readonly roomPx: number;
}

export const partSize = (numberPx: number): number => 0.8 * numberPx;

/** How far below the number's middle so many lines end, px: first the number with what is drawn round it. */
export const belowLines = (lines: number, numberPx: number): number => (0.7 + 0.85 * lines) * numberPx;

/** Widths by eye of the system's letters, in parts of the size. */
const letterWidth = 0.5;

/** The last line counts those that had no room: `+2`. All of them stand in the drawing's head. */
export function partLines(drawing: Drawing, { levelPx, numberPx, roomPx }: Room): string[] {
  const parts = heldChart(drawing)?.parts ?? [];
  const most = Math.max(0, Math.floor((roomPx / numberPx - 0.7) / 0.85));
  const letters = Math.floor((levelPx - 6) / (letterWidth * partSize(numberPx)));
  const lines = parts.map(({ words, fraction }) => cut(`${fractionSign(fraction)} ${words.trim()}`, letters));
  if (lines.length <= most) return lines;
  if (most === 0) return [];
  return [...lines.slice(0, most - 1), `+${lines.length - most + 1}`];
}

function cut(text: string, most: number): string {
  const letters = Array.from(text);
  return letters.length <= most
    ? text
    : `${letters
        .slice(0, most - 1)
        .join('')
        .trimEnd()}…`;
}
