/** On the paper: what a change of weight would break, or what a mending would change, each in its box. */
import { effect } from '@preact/signals';
import type { Box } from '../../line/picture.ts';
import type { LayerDraw } from '../../stage/types.ts';
import { placementOf } from '../notes/place.ts';
import type { Session } from '../session.ts';
import type { RelineDesk } from './reline-desk.ts';

interface BoxMark {
  readonly box: Box;
  /** Broken lines: what is lost or cut, or what is not chosen. */
  readonly dashed: boolean;
  /** A bar across: what runs together or fills. */
  readonly barred: boolean;
}

/** Round a box, and no smaller than this on screen, CSS px. */
const marginCss = 5;
const leastCss = 22;

/** Returns what takes them off. */
export function layMarks(session: Session, desk: RelineDesk): () => void {
  return effect(() => {
    const stage = session.stage.value;
    if (!stage) return;
    const layer = stage.layer(() => drawn(session, desk));
    const follow = effect(() => {
      void [marksOf(desk), session.onPaper.value, session.shot.value, session.model.value.other];
      layer.redraw();
    });
    return () => {
      follow();
      layer.remove();
    };
  });
}

function marksOf(desk: RelineDesk): readonly BoxMark[] {
  const one = desk.here.value;
  if (!one) return [];
  if (desk.part.value === 'mend') {
    const { offers = [], picks } = desk.offeredOn(one);
    return offers.map(({ box }, index) => ({ box, dashed: !picks.has(index), barred: false }));
  }
  const told = desk.foretoldOf(one);
  if (!told || 'refused' in told) return [];
  return told.map(({ kind, box }) => ({
    box,
    dashed: kind === 'line lost' || kind === 'line parted',
    barred: kind === 'gap closed' || kind === 'area filled',
  }));
}

function drawn(session: Session, desk: RelineDesk): LayerDraw | undefined {
  const here = session.onPaper.peek();
  const one = desk.here.peek();
  const marks = marksOf(desk);
  // Of the drawing on the paper only: a flip may be ahead of its marks.
  if (!one || marks.length === 0 || here?.level !== one.level.name || here.drawing !== one.drawing.label)
    return undefined;
  const { image } = one;
  const { offsetPx, scale } = placementOf(session.shot.peek(), image, [image.width, image.height]);
  return (context, { camera }) => {
    context.translate(...offsetPx);
    context.scale(...scale);
    for (const mark of marks) paintBox(context, mark, camera.zoom);
  };
}

/** The one accent, with a pale edge on dark line. */
function paintBox(context: CanvasRenderingContext2D, { box, dashed, barred }: BoxMark, zoom: number): void {
  const [x, y, width, height] = box;
  const least = leastCss / zoom;
  const [w, h] = [
    Math.max(least, width + (2 * marginCss) / zoom),
    Math.max(least, height + (2 * marginCss) / zoom),
  ];
  const [left, top] = [x + width / 2 - w / 2, y + height / 2 - h / 2];
  for (const [colour, cssPx] of [
    ['rgb(255 255 255)', 5],
    ['rgb(163 44 0)', 2.5],
  ] as const) {
    context.strokeStyle = colour;
    context.lineWidth = cssPx / zoom;
    context.setLineDash(dashed ? [6 / zoom, 5 / zoom] : []);
    context.strokeRect(left, top, w, h);
    if (!barred) continue;
    // Beside the place itself, so that it stays to be seen.
    context.beginPath();
    context.moveTo(left - 7 / zoom, top + h / 2);
    context.lineTo(left, top + h / 2);
    context.moveTo(left + w, top + h / 2);
    context.lineTo(left + w + 7 / zoom, top + h / 2);
    context.stroke();
  }
  context.setLineDash([]);
}
