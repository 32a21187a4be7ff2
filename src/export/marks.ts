/** What is drawn over a drawing to say where a row of the fix list lies: the same on screen, in print, at a prompt. */
import type { FixRow } from '../note/fix-list.ts';
import { strokeOutline } from '../note/stroke-outline.ts';
import { noteColours } from './note-colours.ts';

export interface Mark {
  /** SVG path data, px of the row's picture. */
  readonly d: string;
  readonly colour: string;
  /** Drawn as a line of this width; filled when absent. */
  readonly widthPx?: number;
  /** Of the light edge on each side, so that ink reads over lines. */
  readonly edgePx: number;
}

/** In the unit it is seen in (CSS px, points): the thinnest pencil, the arm of a cross, how far a box stands off. */
const least = { pencil: 1.5, cross: 6, edge: 0.9, line: 1.5, clear: 3 };

/** `scale` is that unit a px of the row's picture: nothing is drawn too thin to be seen. */
export function marksOf(row: Pick<FixRow, 'strokes' | 'box' | 'spots'>, scale: number): Mark[] {
  const edgePx = least.edge / scale;
  if (row.strokes.length > 0)
    return row.strokes.map((stroke) => ({
      d: strokeOutline({ ...stroke, widthPx: Math.max(stroke.widthPx, least.pencil / scale) }),
      colour: noteColours[stroke.colour],
      edgePx,
    }));
  const isPoint = row.box[2] === 0 && row.box[3] === 0;
  // One box round specks at both ends of a figure would point at neither.
  const d = isPoint
    ? crossAt(row.box, scale)
    : (row.spots ?? [row.box]).map((spot) => boxRound(spot, scale)).join('');
  return [{ d, colour: noteColours.red, widthPx: least.line / scale, edgePx }];
}

/** A note without ink: where it is pinned, two short strokes that cross. */
function crossAt([x, y]: FixRow['box'], scale: number): string {
  const arm = least.cross / scale;
  return `M${x - arm} ${y - 0.8 * arm}L${x + arm} ${y + arm}M${x + 0.9 * arm} ${y - arm}L${x - arm} ${y + 0.9 * arm}`;
}

function boxRound([x, y, width, height]: FixRow['box'], scale: number): string {
  const clear = least.clear / scale;
  return `M${x - clear} ${y - clear}h${width + 2 * clear}v${height + 2 * clear}h${-width - 2 * clear}Z`;
}
