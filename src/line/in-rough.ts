import { coverageAt, DRAWN_FROM } from './nearest-ink.ts';
import type { InkMap } from './reduce.ts';
import type { LineSamples } from './samples.ts';
import { median } from './statistics.ts';

/** A place of the clean drawing, in px of the rough. */
type Place = (x: number, y: number) => readonly [number, number];
/** The two edges of the line across a gap: `[x, y]` each. */
type Between = readonly [readonly [number, number], readonly [number, number]];

/** Share of the darkness of the rough's line from which a stroke closes a gap: construction is fainter. */
const DARK = { gap: 0.6, end: 0.7 } as const;
/** Share of the change in the rough's ink that must lie across the gap's way: less, and its strokes cross the gap. */
const ALONG = { gap: 0.5, end: 0.7 } as const;
/** In a gap shorter than this, px, the ends of the line themselves are most of what changes. */
const SHORT_PX = 6;
/** Samples of the line that the rough's darkness is read at. */
const PROBES = 240;

/**
 * Whether the rough has a line where the clean has a gap: then the gap was not meant. Along the gap rough ink as dark
 * as the rough is under the clean line (`usual`, see `darknessUnder`) must lie within `besidePx`, but for the last
 * fifth, as strokes of a rough need not quite meet either; and it must run along the gap. What looks
 * like a line's end asks for surer signs.
 */
export function closedInRough(
  { between, likelyEnd }: { readonly between: Between; readonly likelyEnd: boolean },
  rough: InkMap,
  place: Place,
  { besidePx, usual }: { readonly besidePx: number; readonly usual: number },
): boolean {
  const [[x0, y0], [x1, y1]] = between;
  const kind = likelyEnd ? 'end' : 'gap';
  const lengthPx = Math.hypot(x1 - x0, y1 - y0) || 1;
  const [ux, uy] = [(x1 - x0) / lengthPx, (y1 - y0) / lengthPx];
  const at = (along: number, across: number) =>
    coverageAt(rough, ...place(x0 + along * ux - across * uy, y0 + along * uy + across * ux));
  const darkest = (along: number) => {
    let most = 0;
    for (let off = -besidePx; off <= besidePx; off += 0.5) most = Math.max(most, at(along, off));
    return most;
  };
  // The line may be faint there as a whole.
  const behind = median(Array.from({ length: 20 }, (_, k) => darkest(-2 - k)));
  const own = likelyEnd ? usual : Math.min(usual, behind);
  const from = Math.max(DRAWN_FROM, DARK[kind] * own);
  const steps = Math.max(5, Math.ceil(lengthPx));
  let bridged = 0;
  for (let k = 0; k <= steps; k++) if (darkest((k / steps) * lengthPx) >= from) bridged++;
  if (bridged < 0.8 * (steps + 1)) return false;
  if (lengthPx < SHORT_PX && !likelyEnd) return true;
  let [across, along] = [0, 0];
  // Over three px, so that the paper's grain counts little.
  for (let t = 1; t <= lengthPx - 1; t += 0.5) {
    for (let off = -besidePx - 2; off <= besidePx + 2; off += 0.5) {
      across += (at(t, off + 1.5) - at(t, off - 1.5)) ** 2;
      along += (at(t + 1.5, off) - at(t - 1.5, off)) ** 2;
    }
  }
  return across >= ALONG[kind] * (across + along);
}

/** Usual darkness of the rough under the clean line, 0..255: the median of the darkest within `besidePx` of it. */
export function darknessUnder(line: LineSamples, rough: InkMap, place: Place, besidePx: number): number {
  const step = Math.max(1, Math.floor(line.x.length / PROBES));
  const seen: number[] = [];
  for (let i = 0; i < line.x.length; i += step) {
    const [nx, ny] = [-Math.sin(line.tangentRad[i]!), Math.cos(line.tangentRad[i]!)];
    let most = 0;
    for (let off = -besidePx; off <= besidePx; off += 0.5)
      most = Math.max(most, coverageAt(rough, ...place(line.x[i]! + off * nx, line.y[i]! + off * ny)));
    if (most >= DRAWN_FROM) seen.push(most);
  }
  return seen.length > 0 ? median(seen) : 255;
}

/** Whether an opening was meant: the rough is open too or, without a rough to ask, it looks like a line's end. */
export function meantOpen({
  inRough,
  likelyEnd,
}: {
  readonly inRough?: boolean;
  readonly likelyEnd: boolean;
}): boolean {
  return inRough === undefined ? likelyEnd : !inRough;
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
