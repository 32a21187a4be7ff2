/**
 * What stands on a page or is burnt into a frame, as data: written once, then drawn as PDF (`sheet-pdf.ts`), on a canvas
 * or at a prompt (`ExportPainter.paintSheet`). Lengths in one unit (points or px), from the upper left corner down.
 */
import type { Notation } from '../shot/notation.ts';

export type SheetMark = SheetText | SheetPicture | SheetPath;

export interface SheetText {
  readonly kind: 'text';
  readonly text: string;
  /** The baseline's left end, middle or right end, as `anchor` says (left when it is left out). */
  readonly x: number;
  readonly y: number;
  readonly size: number;
  readonly anchor?: 'middle' | 'end';
  readonly bold?: boolean;
  readonly soft?: boolean;
  /** A light edge of this width round the letters, so that they read over lines; not in a PDF. */
  readonly edge?: number;
}

export interface SheetPicture {
  readonly kind: 'picture';
  /** A PNG file. */
  readonly png: Uint8Array;
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** Filled when it has no `line`; else drawn as a line so wide. */
export interface SheetPath {
  readonly kind: 'path';
  /** SVG path data. */
  readonly d: string;
  /** `#rrggbb` */
  readonly colour: string;
  readonly line?: number;
  /** As of a text. */
  readonly edge?: number;
}

/** sRGB of the print (`pdf-look.ts` has the same for PDF). */
export const sheetInk = '#141414';
export const sheetSoft = '#525252';
const sheetRule = '#a8a8a8';

export const ruleMark = (x: number, y: number, width: number, line = 0.5): SheetPath => ({
  kind: 'path',
  d: `M${x} ${y}h${width}`,
  colour: line > 1 ? sheetInk : sheetRule,
  line,
});

export const frameMark = (x: number, y: number, width: number, height: number): SheetPath => ({
  kind: 'path',
  d: `M${x} ${y}h${width}v${height}h${-width}Z`,
  colour: sheetSoft,
  line: 0.5,
});

/**
 * A drawing's number in notation: a key's circled, a breakdown's underlined, a triangle round what favours one side
 * (common practice, no source), an arc beneath what runs on. `x` is its middle, `width` that of the number alone.
 */
export function numberMarks(
  label: string,
  { mark, triangle, runsOn }: Pick<Notation, 'mark' | 'triangle' | 'runsOn'>,
  { x, y, size, width, edge }: NumberPlace,
): SheetMark[] {
  const light = edge === undefined ? {} : { edge };
  const marks: SheetMark[] = [
    { kind: 'text', text: label, x, y, size, anchor: 'middle', bold: true, ...light },
  ];
  const path = (d: string): void => {
    marks.push({ kind: 'path', d, colour: sheetInk, line: size / 15, ...light });
  };
  const [half, reach] = [width / 2, width / 2 + 0.28 * size];
  if (mark === 'circle') {
    const [rx, ry] = [half + 0.47 * size, 0.74 * size];
    path(`M${x - rx} ${y - 0.36 * size}a${rx} ${ry} 0 1 0 ${2 * rx} 0a${rx} ${ry} 0 1 0 ${-2 * rx} 0Z`);
  }
  if (mark === 'underline') path(`M${x - reach} ${y + 0.22 * size}H${x + reach}`);
  if (triangle) {
    const [left, right, low] = [x - reach - 0.45 * size, x + reach + 0.45 * size, y + 0.27 * size];
    path(`M${left} ${low}H${right}L${x} ${y - 1.4 * size}Z`);
  }
  if (runsOn) {
    // Beneath circle and underline, and out to the right past them.
    const [left, right] = [x - half - 0.1 * size, x + half + 0.72 * size];
    path(`M${left} ${y + 0.36 * size}Q${x + 0.1 * size} ${y + 0.72 * size} ${right} ${y - 0.02 * size}`);
  }
  return marks;
}

interface NumberPlace {
  readonly x: number;
  /** The baseline. */
  readonly y: number;
  readonly size: number;
  readonly width: number;
  readonly edge?: number;
}
