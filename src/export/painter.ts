/** What an export needs of its platform: `page-painter.ts` on a tablet, `node/node-painter.ts` at a prompt. */
import type { Box, Picture } from '../line/picture.ts';
import type { FixRow } from '../note/fix-list.ts';
import type { SheetMark } from './sheet-marks.ts';

export interface PaintedText {
  /** PNG, transparent where there is no ink. */
  readonly png: Uint8Array;
  readonly width: number;
  readonly height: number;
  /** From the top of the picture down to the baseline. */
  readonly baseline: number;
}

export interface ExportPainter {
  /** Width of a text in the system's font, in the unit of `size`. */
  textWidth(text: string, size: number, bold?: boolean): number | Promise<number>;
  /** A text in the system's font (any script, shaped), black, in the unit of `size`. */
  paintText(text: string, size: number): Promise<PaintedText>;
  /**
   * The part `crop` of the drawing a row speaks of, its strokes over it, as JPEG or PNG of at most
   * `longEdgePx`, to be seen `shownWidth` points wide; undefined when the drawing is not kept here.
   */
  paintRow(row: FixRow, crop: Box, longEdgePx: number, shownWidth: number): Promise<Uint8Array | undefined>;
  /** R, G, B, A of the size asked for: on white paper, or transparent where nothing is drawn. */
  paintSheet(marks: readonly SheetMark[], options: SheetOptions): Promise<Picture>;
  /** The picture as a PNG file. */
  pngOf(picture: Picture): Promise<Uint8Array>;
}

export interface SheetOptions {
  readonly sizePx: readonly [width: number, height: number];
  /** Px a unit of the marks. */
  readonly scale: number;
  readonly paper: boolean;
}

/**
 * What to show of a drawing for one row: its place with paper all round, in the shape of the picture, never
 * closer than a third of it, so that one sees where on the figure it is.
 */
export function cropRound(
  [x, y, width, height]: Box,
  [fullWidth, fullHeight]: readonly [number, number],
): Box {
  const share = Math.min(1, Math.max(1 / 3, (1.6 * width) / fullWidth, (1.6 * height) / fullHeight));
  const [cropWidth, cropHeight] = [Math.round(fullWidth * share), Math.round(fullHeight * share)];
  const hold = (middle: number, size: number, full: number): number =>
    Math.round(Math.min(full - size, Math.max(0, middle - size / 2)));
  return [
    hold(x + width / 2, cropWidth, fullWidth),
    hold(y + height / 2, cropHeight, fullHeight),
    cropWidth,
    cropHeight,
  ];
}
