import { coverageAt, DRAWN_FROM } from './nearest-ink.ts';
import type { InkMap } from './reduce.ts';

/** A place of the clean drawing, in px of the rough. */
type Place = (x: number, y: number) => readonly [number, number];

/**
 * Whether the rough has a line where the clean has a gap: then the gap was not meant. Along the gap, rough
 * ink must lie within `besidePx`, but for the last fifth: strokes of a rough need not quite meet either.
 */
export function closedInRough(
  between: readonly [readonly [number, number], readonly [number, number]],
  rough: InkMap,
  place: Place,
  besidePx: number,
): boolean {
  const [[x0, y0], [x1, y1]] = between;
  const lengthPx = Math.hypot(x1 - x0, y1 - y0) || 1;
  const nx = -(y1 - y0) / lengthPx;
  const ny = (x1 - x0) / lengthPx;
  const steps = Math.max(5, Math.ceil(lengthPx));
  let bridged = 0;
  for (let k = 0; k <= steps; k++) {
    const t = k / steps;
    const [x, y] = place(x0 + t * (x1 - x0), y0 + t * (y1 - y0));
    for (let off = -besidePx; off <= besidePx; off++) {
      if (coverageAt(rough, x + nx * off, y + ny * off) < DRAWN_FROM) continue;
      bridged++;
      break;
    }
  }
  return bridged >= 0.8 * (steps + 1);
}

/** Whether the rough has ink within a radius of a place: then a small mark there was meant. */
export function drawnInRough(x: number, y: number, rough: InkMap, place: Place, radiusPx: number): boolean {
  const [cx, cy] = place(x, y);
  for (let dy = -radiusPx; dy <= radiusPx; dy++) {
    for (let dx = -radiusPx; dx <= radiusPx; dx++) {
      if (dx * dx + dy * dy <= radiusPx * radiusPx && coverageAt(rough, cx + dx, cy + dy) >= DRAWN_FROM)
        return true;
    }
  }
  return false;
}
