/** What is burnt into a frame: numbers below, the words of notes above, their strokes where they were drawn. */
import type { FixRow } from '../../note/fix-list.ts';
import { notationOf } from '../../shot/notation.ts';
import { cleanOf } from '../../shot/takes.ts';
import { marksOf } from '../marks.ts';
import type { ExportPainter } from '../painter.ts';
import { numberMarks, type SheetMark, type SheetPath } from '../sheet-marks.ts';
import { wrap } from '../wrap.ts';
import type { Laid } from './compose.ts';
import type { LineTestPlan, Named, Step } from './plan.ts';

/** Shares of the frame's height, and the least px that can be read. */
const share = { number: 0.036, words: 0.026 };
const leastPx = { number: 15, words: 12 };
/** Of words on one frame; the fix list has all of them. */
const mostLines = 5;
/** A frame is mostly looked at about this wide; strokes are drawn to be seen then. */
const seenWidth = 900;

const sizeOf = (plan: LineTestPlan, what: 'number' | 'words'): number =>
  Math.max(leastPx[what], Math.round(plan.pane[1] * share[what]));

/** Of a step: everything but the frame's number. */
export async function burntIn(plan: LineTestPlan, step: Step, painter: ExportPainter): Promise<Laid[]> {
  const laid: Laid[] = [];
  for (const one of step.named)
    for (const row of one.notes) {
      const strokes = await strokesOf(step, one, row, painter);
      if (strokes) laid.push(strokes);
    }
  const words = await wordsOf(plan, step, painter);
  if (words) laid.push(words);
  if (plan.numbers && step.named.length > 0) laid.push(await numbersOf(plan, step.named, painter));
  return laid;
}

/** In the lower right corner. */
export async function frameNumber(plan: LineTestPlan, frame: number, painter: ExportPainter): Promise<Laid> {
  const size = sizeOf(plan, 'number');
  const text = `${frame} / ${plan.frames}`;
  const wide = await painter.textWidth(text, size, true);
  const sizePx = [Math.ceil(wide + size), Math.ceil(1.6 * size)] as const;
  const mark: SheetMark = {
    kind: 'text',
    text,
    x: sizePx[0] - size / 2,
    y: 1.15 * size,
    size,
    anchor: 'end',
    bold: true,
    edge: size / 7,
  };
  const picture = await painter.paintSheet([mark], { sizePx, scale: 1, paper: false });
  return { picture, x: plan.width - sizePx[0], y: plan.height - sizePx[1] };
}

/** In the lower left corner, one beside the other; a level's name before its number where there are several. */
async function numbersOf(plan: LineTestPlan, named: readonly Named[], painter: ExportPainter): Promise<Laid> {
  const size = sizeOf(plan, 'number');
  const small = 0.7 * size;
  const edge = size / 7;
  const [y, marks] = [1.75 * size, [] as SheetMark[]];
  let x = 0.5 * size;
  for (const { level, drawing } of named) {
    if (level) {
      marks.push({ kind: 'text', text: level, x, y, size: small, edge });
      x += (await painter.textWidth(level, small)) + 0.2 * size;
    }
    const width = await painter.textWidth(drawing.label, size, true);
    const middle = x + 0.85 * size + width / 2;
    marks.push(...numberMarks(drawing.label, notationOf(drawing), { x: middle, y, size, width, edge }));
    x = middle + width / 2 + 1.2 * size;
  }
  const sizePx = [Math.min(plan.width, Math.ceil(x)), Math.ceil(2.35 * size)] as const;
  const picture = await painter.paintSheet(marks, { sizePx, scale: 1, paper: false });
  return { picture, x: 0, y: plan.height - sizePx[1] };
}

async function wordsOf(plan: LineTestPlan, step: Step, painter: ExportPainter): Promise<Laid | undefined> {
  const size = sizeOf(plan, 'words');
  const lines: string[] = [];
  for (const { drawing, notes } of step.named)
    for (const { text, who } of notes)
      lines.push(
        ...(await wrap(
          `${drawing.label}: ${text}${who ? ` (${who})` : ''}`,
          plan.pane[0] - 2 * size,
          (part) => painter.textWidth(part, size),
        )),
      );
  if (lines.length === 0) return undefined;
  const told =
    lines.length > mostLines
      ? [...lines.slice(0, mostLines - 1), `and ${lines.length - mostLines + 1} more lines: see the fix list`]
      : lines;
  const marks = told.map((text, n): SheetMark => {
    return { kind: 'text', text, x: size, y: size * (1.6 + 1.35 * n), size, edge: size / 6 };
  });
  const sizePx = [plan.pane[0], Math.min(plan.height, Math.ceil(size * (2.2 + 1.35 * told.length)))] as const;
  return { picture: await painter.paintSheet(marks, { sizePx, scale: 1, paper: false }), x: 0, y: 0 };
}

/** On the picture they were drawn on where that is shown, else on the drawing's other one; covering it edge to edge. */
async function strokesOf(
  step: Step,
  { drawing }: Named,
  row: FixRow,
  painter: ExportPainter,
): Promise<Laid | undefined> {
  const pictures = row.onRough ? [drawing.rough, cleanOf(drawing)] : [cleanOf(drawing), drawing.rough];
  const ply = pictures
    .map((image) => image && step.plies.find((one) => one.image.sha256 === image.sha256))
    .find((one) => one !== undefined);
  if (!ply) return undefined;
  const scale = ply.longEdgePx / Math.max(ply.image.width, ply.image.height);
  const sizePx = [ply.image.width, ply.image.height].map((edge) => Math.max(1, Math.round(edge * scale)));
  const [width = 1, height = 1] = sizePx;
  const marks = marksOf(row, seenWidth / row.sizePx[0]);
  const path = (d: string, colour: string, line: number | undefined): SheetPath => ({
    kind: 'path',
    d,
    colour,
    ...(line !== undefined && { line }),
  });
  // All edges first: no stroke of a note cuts into another.
  const drawn = [
    ...marks.map(({ d, widthPx = 0, edgePx }) => path(d, '#ffffff', widthPx + 2 * edgePx)),
    ...marks.map(({ d, colour, widthPx }) => path(d, colour, widthPx)),
  ];
  const picture = await painter.paintSheet(drawn, {
    sizePx: [width, height],
    scale: width / row.sizePx[0],
    paper: false,
  });
  return { picture, x: ply.x, y: ply.y };
}
