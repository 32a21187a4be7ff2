/** Pencil on paper: paints strokes with a light edge, so that they read over lines, and finds them again. */
import { noteColours } from '../../export/note-colours.ts';
import type { Stroke } from '../../note/entry.ts';
import { strokeOutline } from '../../note/stroke-outline.ts';
import { distanceToPathPx } from './draft.ts';
import type { Placement } from './place.ts';

/** Of the light edge round a stroke, CSS px. */
const edgePx = 2;

const paths = new WeakMap<Stroke, Path2D>();

function pathOf(stroke: Stroke): Path2D {
  const known = paths.get(stroke);
  if (known) return known;
  const path = new Path2D(strokeOutline(stroke));
  paths.set(stroke, path);
  return path;
}

/** `context` is in paper px; `zoom` is CSS px a paper px. */
export function paintStrokes(
  context: CanvasRenderingContext2D,
  strokes: readonly Stroke[],
  placement: Placement,
  zoom: number,
): void {
  context.save();
  context.translate(...placement.offsetPx);
  context.scale(...placement.scale);
  context.lineJoin = 'round';
  context.strokeStyle = '#ffffff';
  context.lineWidth = (2 * edgePx) / (zoom * placement.scale[0]);
  // All edges first: no stroke of a note cuts into another.
  for (const stroke of strokes) context.stroke(pathOf(stroke));
  for (const stroke of strokes) {
    context.fillStyle = noteColours[stroke.colour];
    context.fill(pathOf(stroke));
  }
  context.restore();
}

/** Two short strokes that cross, where a note without ink is pinned. `at` in paper px. */
export function paintCross(
  context: CanvasRenderingContext2D,
  [x, y]: readonly [number, number],
  zoom: number,
): void {
  const arm = 9 / zoom;
  context.save();
  context.lineCap = 'round';
  for (const [style, width] of [
    ['#ffffff', 7],
    [noteColours.red, 3],
  ] as const) {
    context.strokeStyle = style;
    context.lineWidth = width / zoom;
    context.beginPath();
    context.moveTo(x - arm, y - 0.8 * arm);
    context.lineTo(x + arm, y + arm);
    context.moveTo(x + 0.9 * arm, y - arm);
    context.lineTo(x - arm, y + 0.9 * arm);
    context.stroke();
  }
  context.restore();
}

/** From a point of the note to its nearest ink (or its pin), px of the note. */
export function distanceToInkPx(
  [x, y]: readonly [number, number],
  strokes: readonly Stroke[],
  at: readonly [number, number],
): number {
  if (strokes.length === 0) return Math.hypot(x - at[0], y - at[1]);
  return Math.min(...strokes.map(({ points, widthPx }) => distanceToPathPx(x, y, points) - widthPx / 2));
}
