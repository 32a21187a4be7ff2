/** Moves the paper no more than is needed to see a place on it. */
import type { Session } from './session.ts';

/** A place fills no more of the stage than this, and is no smaller than this many CSS px where that is not too near. */
const mostShare = 0.7;
const leastCssPx = 90;
/** Nearer than this the drawing round a small fault is lost from view, CSS px per px. */
const nearest = 1.6;

/** `middle` in px of the paper, `reach` from there to the place's edge. */
export function bringIntoView(session: Session, middle: readonly [number, number], reach: number): void {
  const stage = session.stage.peek();
  if (!stage) return;
  const element = document.querySelector('.stage');
  if (!element) return;
  const roomPx = Math.min(element.clientWidth, element.clientHeight);
  const camera = stage.camera();
  const [sx, sy] = stage.toStage(middle);
  const reachPx = reach * camera.zoom;
  const inView =
    sx - reachPx > 0 &&
    sy - reachPx > 0 &&
    sx + reachPx < element.clientWidth &&
    sy + reachPx < element.clientHeight;
  const edge = Math.max(1, 2 * reach);
  const wanted = Math.max(camera.zoom, Math.min(nearest, leastCssPx / edge));
  if (inView && camera.zoom >= wanted) return;
  const zoom = Math.min(wanted, (mostShare * roomPx) / edge);
  session.moveCamera((now) => ({ ...now, centre: middle, zoom }));
}
