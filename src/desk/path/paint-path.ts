/** Draws a path over the paper: its arc, a dot a drawing with its number, and what lies off the arc. In CSS px. */
import type { Point } from '../../line/path/step-place.ts';
import type { LayerView } from '../../stage/types.ts';
import type { PathDesk, ShownPath } from './path-desk.ts';

const INK = 'rgb(32 52 120)';
const PALE = 'rgb(255 255 255 / 88%)';
const ACCENT = 'rgb(163 44 0)';

/** Numbers nearer than this to one before them are left out, so that dots that crowd stay to be seen. */
const LEAST_APART = 20;

export function paintPath(
  context: CanvasRenderingContext2D,
  view: LayerView,
  { dots, arc, place, letter }: ShownPath,
  here: string | undefined,
  held: PathDesk['held']['value'],
): void {
  const ratio = view.devicePixelRatio;
  context.save();
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  context.lineCap = 'round';
  context.lineJoin = 'round';
  context.textAlign = 'center';
  context.textBaseline = 'middle';
  const toStage = (at: Point) => view.toStage(at);
  line(context, arc.curve.map(toStage), 2);
  const spots = dots.map(({ dot, label }) => {
    const at = held?.place === place && label === here ? held.at : dot?.at;
    return at && toStage(at);
  });
  const middle = middleOf(spots);
  const written: Point[] = [];
  for (const [k, { label, role }] of dots.entries()) {
    const spot = spots[k];
    if (!spot) continue;
    const dot = dots[k]!.dot;
    const isHere = label === here;
    const isOff = arc.off[k] ?? false;
    mark(context, spot, { isHere, isOff, byHand: dot?.at !== undefined && dot.byHand });
    const wanted = isHere || isOff || role === 'key';
    if (!wanted && written.some((other) => apart(other, spot) < LEAST_APART)) continue;
    written.push(spot);
    const out = outwards(spot, middle, isHere ? 22 : 18);
    number(context, out, isOff ? `${label} · ${arc.offPx[k]?.toFixed(0)} px off` : label, role, isHere);
  }
  const first = spots.find((spot) => spot !== undefined);
  if (first) word(context, outwards(first, middle, -18), letter, INK, 'italic 600 13px system-ui');
  context.restore();
}

function line(context: CanvasRenderingContext2D, points: readonly Point[], widthPx: number): void {
  if (points.length < 2) return;
  context.beginPath();
  for (const [k, [x, y]] of points.entries()) {
    if (k === 0) context.moveTo(x, y);
    else context.lineTo(x, y);
  }
  for (const [colour, px] of [
    [PALE, widthPx + 3],
    [INK, widthPx],
  ] as const) {
    context.strokeStyle = colour;
    context.lineWidth = px;
    context.stroke();
  }
}

/** A dot; a ring round that of the drawing in hand; a lozenge off the arc; a bar beneath what was put right by hand. */
function mark(
  context: CanvasRenderingContext2D,
  [x, y]: Point,
  { isHere, isOff, byHand }: { readonly isHere: boolean; readonly isOff: boolean; readonly byHand: boolean },
): void {
  const radius = isHere ? 6 : 3.5;
  context.fillStyle = isOff ? ACCENT : INK;
  context.strokeStyle = PALE;
  context.lineWidth = 2;
  context.beginPath();
  if (isOff) {
    const r = radius + 3;
    context.moveTo(x, y - r);
    context.lineTo(x + r, y);
    context.lineTo(x, y + r);
    context.lineTo(x - r, y);
    context.closePath();
  } else context.arc(x, y, radius, 0, 2 * Math.PI);
  context.stroke();
  context.fill();
  context.lineWidth = 1.5;
  context.strokeStyle = isOff ? ACCENT : INK;
  if (isHere) {
    context.beginPath();
    context.arc(x, y, radius + 5, 0, 2 * Math.PI);
    context.stroke();
  }
  if (!byHand) return;
  context.beginPath();
  context.moveTo(x - radius - 2, y + radius + 4);
  context.lineTo(x + radius + 2, y + radius + 4);
  context.stroke();
}

/** As the trade writes it: a key's number is circled, a breakdown's underlined. */
function number(
  context: CanvasRenderingContext2D,
  at: Point,
  text: string,
  role: ShownPath['dots'][number]['role'],
  isHere: boolean,
): void {
  const font = `${isHere ? 700 : 500} ${isHere ? 14 : 12}px system-ui`;
  word(context, at, text, text.includes('off') ? ACCENT : INK, font);
  const half = context.measureText(text).width / 2;
  context.strokeStyle = INK;
  context.lineWidth = 1.3;
  context.beginPath();
  if (role === 'key') context.ellipse(at[0], at[1], half + 5, 10, 0, 0, 2 * Math.PI);
  else if (role === 'breakdown') {
    context.moveTo(at[0] - half, at[1] + 8);
    context.lineTo(at[0] + half, at[1] + 8);
  } else return;
  context.stroke();
}

function word(
  context: CanvasRenderingContext2D,
  [x, y]: Point,
  text: string,
  colour: string,
  font: string,
): void {
  context.font = font;
  context.lineWidth = 4;
  context.strokeStyle = PALE;
  context.strokeText(text, x, y);
  context.fillStyle = colour;
  context.fillText(text, x, y);
}

const apart = (p: Point, q: Point): number => Math.hypot(p[0] - q[0], p[1] - q[1]);

function middleOf(spots: readonly (Point | undefined)[]): Point {
  const known = spots.filter((spot) => spot !== undefined);
  const n = Math.max(1, known.length);
  return [known.reduce((sum, [x]) => sum + x / n, 0), known.reduce((sum, [, y]) => sum + y / n, 0)];
}

/** Beside a spot, away from the middle of the path: the hollow of an arc stays free. */
function outwards([x, y]: Point, middle: Point, px: number): Point {
  const far = apart([x, y], middle);
  return far < 1 ? [x, y - px] : [x + (px * (x - middle[0])) / far, y + (px * (y - middle[1])) / far];
}
