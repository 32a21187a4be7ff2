/** A chart's parts on the paper while they are edited, and the hand that draws round one. */
import { effect, signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { drawingOf } from '../../shot/drawing-ref.ts';
import { fractionSign } from '../../shot/fraction-words.ts';
import type { ChartPart, Shot } from '../../shot/model.ts';
import { cornersOf } from '../../shot/part-place.ts';
import { cleanOf } from '../../shot/takes.ts';
import type { LayerDraw, LayerView } from '../../stage/types.ts';
import { askedPlaceOf } from '../asked-place.ts';
import type { PenHand, Session } from '../session.ts';
import { placeOfPath } from './path-place.ts';

type At = readonly [x: number, y: number];

/** A place smaller than this under the finger is a slip of the hand, CSS px. */
const leastCssPx = 10;

export function PaperParts({ session }: { session: Session }): null {
  useEffect(() => {
    const asked = askedPlaceOf(session);
    const wet = signal<readonly At[]>([]);
    const stops = [
      effect(() => {
        if (!asked.value) return;
        const letGo = session.takePen(roundHand(session, wet));
        return () => {
          letGo();
          wet.value = [];
        };
      }),
      // Whoever flips on has thought better of it.
      effect(() => {
        const wanted = asked.value;
        const { level, drawing } = session.model.value;
        const isHere = wanted?.level === level && wanted.drawing === drawing;
        if (wanted && !isHere) asked.value = undefined;
      }),
      effect(() => {
        const stage = session.stage.value;
        if (!stage) return;
        const layer = stage.layer(() => partsDrawn(session, wet.peek()));
        const stop = effect(() => {
          void [wet.value, session.onPaper.value, session.shot.value];
          layer.redraw();
        });
        return () => {
          stop();
          layer.remove();
        };
      }),
    ];
    return () => {
      for (const stop of stops) stop();
      asked.value = undefined;
    };
  }, [session]);
  return null;
}

/** Size of the picture that lies there, and where its corner is on the paper: pictures lie centred, px for px. */
function lieOf(shot: Shot, here: { level: string; drawing: string }): { sizePx: [number, number]; at: At } {
  const drawing = drawingOf(shot, here);
  const image = drawing && (cleanOf(drawing) ?? drawing.rough);
  const [paperW, paperH] = shot.sizePx;
  const sizePx: [number, number] = image ? [image.width, image.height] : [paperW, paperH];
  return { sizePx, at: [(paperW - sizePx[0]) / 2, (paperH - sizePx[1]) / 2] };
}

/** Gathers one stroke, in paper px. */
function roundHand(session: Session, wet: { value: readonly At[]; peek(): readonly At[] }): PenHand {
  return {
    pen(phase, points) {
      const more = points.map(({ x, y }): At => [x, y]);
      wet.value = phase === 'down' ? more : [...wet.peek(), ...more];
      if (phase !== 'up' && phase !== 'cancel') return;
      const path = wet.peek();
      wet.value = [];
      const asked = askedPlaceOf(session);
      const wanted = asked.peek();
      if (!wanted) return;
      const { sizePx, at } = lieOf(session.shot.peek(), wanted);
      const zoom = session.stage.peek()?.camera().zoom ?? 1;
      const place = placeOfPath(
        path.map(([x, y]): At => [x - at[0], y - at[1]]),
        sizePx,
        leastCssPx / zoom,
      );
      if (!place) {
        session.notice.value = {
          says: 'That is too small for a place: draw round the part, or straight across it from corner to corner.',
        };
        return;
      }
      asked.value = undefined;
      wanted.given(place);
    },
    hover: () => undefined,
    tap: () => undefined,
  };
}

const pencil = '#333';
const paper = '#ffffffb0';

function partsDrawn(session: Session, wet: readonly At[]): LayerDraw | undefined {
  const here = session.onPaper.peek();
  if (!here) return undefined;
  const shot = session.shot.peek();
  const parts = drawingOf(shot, here)?.chart?.parts ?? [];
  if (parts.length === 0 && wet.length === 0) return undefined;
  const { sizePx, at } = lieOf(shot, here);
  return (context, view) => {
    context.lineJoin = 'round';
    for (const part of parts) {
      const corners = cornersOf(part.place, sizePx).map(([x, y]): At => [x + at[0], y + at[1]]);
      stroke(context, corners, view, true);
      label(context, part, corners, view);
    }
    stroke(context, wet, view, false);
  };
}

/** Broken as construction is, light beneath so that it reads over line. */
function stroke(
  context: CanvasRenderingContext2D,
  points: readonly At[],
  { camera }: LayerView,
  closed: boolean,
): void {
  const [first, ...rest] = points;
  if (!first) return;
  context.beginPath();
  context.moveTo(...first);
  for (const point of rest) context.lineTo(...point);
  if (closed) context.closePath();
  context.setLineDash([]);
  context.strokeStyle = paper;
  context.lineWidth = 4 / camera.zoom;
  context.stroke();
  context.setLineDash([9 / camera.zoom, 5 / camera.zoom]);
  context.strokeStyle = pencil;
  context.lineWidth = 2 / camera.zoom;
  context.stroke();
}

/** Upright for the reader however the paper is turned. */
function label(
  context: CanvasRenderingContext2D,
  { words, fraction }: ChartPart,
  corners: readonly At[],
  { camera }: LayerView,
): void {
  const top = corners.reduce((best, corner) => (corner[1] < best[1] ? corner : best));
  context.save();
  context.translate(...top);
  context.scale((camera.mirrored ? -1 : 1) / camera.zoom, 1 / camera.zoom);
  context.rotate(camera.mirrored ? camera.angleRad : -camera.angleRad);
  context.font = '600 15px system-ui, sans-serif';
  context.textBaseline = 'bottom';
  context.lineWidth = 5;
  context.setLineDash([]);
  context.strokeStyle = paper;
  context.fillStyle = pencil;
  const text = `${fractionSign(fraction)} ${words.trim()}`;
  context.strokeText(text, 2, -5);
  context.fillText(text, 2, -5);
  context.restore();
}
