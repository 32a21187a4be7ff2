/** Which part of an original to keep at which size, in pieces the painter takes. Pure. */
import type { Box } from '../line/picture.ts';
import type { Point } from './camera.ts';

export interface CutPlan {
  /** Part of the image kept, image px. */
  readonly region: Box;
  /** Kept px per image px, 0..1. */
  readonly scale: number;
  /** Pieces in image px; neighbours share `overlapPx`. */
  readonly boxes: readonly Box[];
}

const BYTES_PER_PX = 4;
/** Kept beyond what is seen, as a share of it on each side, so that a small pan stays sharp. */
const MARGIN = 0.25;

/**
 * The whole image at full size when it fits into `maxBytes`; else what is seen with a margin; reduced when
 * even that is too much.
 */
export function planCuttings(
  imagePx: Point,
  visible: Box,
  maxBytes: number,
  maxCuttingPx: number,
  overlapPx: number,
): CutPlan {
  const whole: Box = [0, 0, ...imagePx];
  const fits = imagePx[0] * imagePx[1] * BYTES_PER_PX <= maxBytes;
  const region = fits ? whole : within(grown(visible), imagePx);
  const scale = Math.min(1, Math.sqrt(maxBytes / (region[2] * region[3] * BYTES_PER_PX)));
  const step = Math.floor((maxCuttingPx - overlapPx) / scale);
  const boxes: Box[] = [];
  for (let y = region[1]; y < region[1] + region[3]; y += step)
    for (let x = region[0]; x < region[0] + region[2]; x += step)
      boxes.push([
        x,
        y,
        Math.min(step + overlapPx, region[0] + region[2] - x),
        Math.min(step + overlapPx, region[1] + region[3] - y),
      ]);
  return { region, scale, boxes };
}

/** Whether a kept plan still serves a view: it holds all that is seen, as finely as the screen can show. */
export function serves(plan: CutPlan, visible: Box, devicePxPerImagePx: number, imagePx: Point): boolean {
  const seen = within(visible, imagePx);
  const [x, y, width, height] = plan.region;
  const inside =
    seen[0] >= x && seen[1] >= y && seen[0] + seen[2] <= x + width && seen[1] + seen[3] <= y + height;
  return inside && (plan.scale === 1 || plan.scale >= Math.min(1, devicePxPerImagePx));
}

function grown([x, y, width, height]: Box): Box {
  return [x - width * MARGIN, y - height * MARGIN, width * (1 + 2 * MARGIN), height * (1 + 2 * MARGIN)];
}

/** The whole-px part of a box inside the image; at least one px. */
function within([x, y, width, height]: Box, [imageW, imageH]: Point): Box {
  const left = Math.min(imageW - 1, Math.max(0, Math.floor(x)));
  const top = Math.min(imageH - 1, Math.max(0, Math.floor(y)));
  const right = Math.max(left + 1, Math.min(imageW, Math.ceil(x + width)));
  const bottom = Math.max(top + 1, Math.min(imageH, Math.ceil(y + height)));
  return [left, top, right - left, bottom - top];
}
