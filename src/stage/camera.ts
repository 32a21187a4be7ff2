/**
 * The camera: paper px to stage px and back. Pure.
 *
 * `stage = frameCentre + R(angle) · zoom · mirror · (paper − centre)`, y down in both, angle clockwise on screen.
 */
import type { Camera } from './types.ts';

export type Point = readonly [x: number, y: number];
/** A rectangle of the stage in CSS px. */
export type Frame = readonly [x: number, y: number, width: number, height: number];
/** Affine map `x' = a·x + c·y + e`, `y' = b·x + d·y + f`, in the order canvas `setTransform` takes. */
export type Affine = readonly [a: number, b: number, c: number, d: number, e: number, f: number];

/** The paper never gets smaller than this share of its fitted size … */
const MIN_ZOOM_OF_FIT = 0.4;
/** … nor a paper px larger than this many CSS px, where single pixels are plain to see. */
const MAX_ZOOM = 32;
/** Left free round a fitted paper, CSS px, so that two papers side by side are two. */
const FIT_MARGIN_PX = 2;

export function paperToStage(camera: Camera, frame: Frame): Affine {
  const cos = Math.cos(camera.angleRad) * camera.zoom;
  const sin = Math.sin(camera.angleRad) * camera.zoom;
  const flip = camera.mirrored ? -1 : 1;
  const [a, b, c, d] = [cos * flip, sin * flip, -sin, cos];
  const [cx, cy] = camera.centre;
  return [a, b, c, d, frame[0] + frame[2] / 2 - a * cx - c * cy, frame[1] + frame[3] / 2 - b * cx - d * cy];
}

export function apply([a, b, c, d, e, f]: Affine, [x, y]: Point): Point {
  return [a * x + c * y + e, b * x + d * y + f];
}

/** `first`, then `then`. */
export function chain(then: Affine, first: Affine): Affine {
  const [e, f] = apply(then, [first[4], first[5]]);
  return [
    then[0] * first[0] + then[2] * first[1],
    then[1] * first[0] + then[3] * first[1],
    then[0] * first[2] + then[2] * first[3],
    then[1] * first[2] + then[3] * first[3],
    e,
    f,
  ];
}

/** The way back. A camera's zoom is never 0, so there always is one. */
export function invert([a, b, c, d, e, f]: Affine): Affine {
  const det = a * d - b * c;
  return [d / det, -b / det, -c / det, a / det, (c * f - d * e) / det, (b * e - a * f) / det];
}

function fitZoom(paperPx: Point, frame: Frame, marginPx = FIT_MARGIN_PX): number {
  const room = (length: number) => Math.max(1, length - 2 * marginPx);
  return Math.min(room(frame[2]) / paperPx[0], room(frame[3]) / paperPx[1]);
}

/** Whole paper in view, upright, `marginPx` (CSS px) free round it; a mirrored paper stays mirrored. */
export function fitted(camera: Camera, paperPx: Point, frame: Frame, marginPx = FIT_MARGIN_PX): Camera {
  return {
    centre: [paperPx[0] / 2, paperPx[1] / 2],
    zoom: fitZoom(paperPx, frame, marginPx),
    angleRad: 0,
    mirrored: camera.mirrored,
  };
}

/** Holds the frame's centre on the paper and the zoom in its range, so that the paper cannot get lost. */
export function clamped(camera: Camera, paperPx: Point, frame: Frame): Camera {
  const within = (value: number, low: number, high: number) => Math.min(high, Math.max(low, value));
  return {
    centre: [within(camera.centre[0], 0, paperPx[0]), within(camera.centre[1], 0, paperPx[1])],
    zoom: within(camera.zoom, fitZoom(paperPx, frame) * MIN_ZOOM_OF_FIT, MAX_ZOOM),
    angleRad: Math.atan2(Math.sin(camera.angleRad), Math.cos(camera.angleRad)),
    mirrored: camera.mirrored,
  };
}

/** What two fingers (or a wheel) do: a turn and a scale about `from`, which then moves to `to`. */
export interface Grip {
  readonly from: Point;
  readonly to: Point;
  readonly scale: number;
  readonly turnRad: number;
}

/**
 * The camera after a grip: the paper point under `from` lies under `to`. The zoom is limited before the
 * place is worked out, so that a pinch at the limit does not make the paper slide.
 */
export function gripped(camera: Camera, grip: Grip, paperPx: Point, frame: Frame): Camera {
  const held = apply(invert(paperToStage(camera, frame)), grip.from);
  const turned = clamped(
    { ...camera, zoom: camera.zoom * grip.scale, angleRad: camera.angleRad + grip.turnRad },
    paperPx,
    frame,
  );
  const under = apply(invert(paperToStage(turned, frame)), grip.to);
  const centre: Point = [turned.centre[0] + held[0] - under[0], turned.centre[1] + held[1] - under[1]];
  return clamped({ ...turned, centre }, paperPx, frame);
}

/** Mirrored left to right as seen on screen, about the middle of the view. */
export function mirrored(camera: Camera): Camera {
  return { ...camera, mirrored: !camera.mirrored, angleRad: -camera.angleRad };
}
