import type { InkMap } from '../reduce.ts';
import { edgeDistance } from './edge-distance.ts';
import { edgePixels } from './edge-pixels.ts';

/** What a change of line weight does to a drawing, pixel by pixel; the rest of the drawing stays as it is. */
export interface LineChange {
  readonly width: number;
  readonly height: number;
  /** How much wider every line becomes, px; negative for thinner. */
  readonly byPx: number;
  /** Pixels that change, ascending, y × width + x. */
  readonly pixels: Int32Array;
  /** How much of each the line covers then, 0–255. */
  readonly coverage: Uint8Array;
  /** The pixel of the line whose colour each takes: the most covered one near the edge it comes from. */
  readonly colourFrom: Int32Array;
}

/** Farther than this an edge is not moved at once, px: a line of the trade is thinner, and the cost grows with its square. */
export const MOST_EDGE_PX = 12;

/** From half an edge's pixel on: where the new edge may still touch a pixel. */
const TOUCH_PX = Math.SQRT1_2;

/**
 * Moves every edge of the line by half of `byPx`, outwards for more weight, inwards for less: the sub-pixel signed
 * distance s to the edge (Gustavson & Strand 2011), then coverage = clamp(½ − (s − byPx/2), 0, 1).
 *
 * A drawing without soft pixels stays so: a pixel is line when the new edge leaves its middle in the line.
 *
 * @param byPx change of the line's whole width, px; −2 × MOST_EDGE_PX … 2 × MOST_EDGE_PX.
 * @throws RangeError beyond that.
 */
export function reweigh(ink: InkMap, byPx: number): LineChange {
  const { width, height, coverage } = ink;
  if (!(Math.abs(byPx) <= 2 * MOST_EDGE_PX)) {
    throw new RangeError(`Line can be changed by up to ${2 * MOST_EDGE_PX} px at once, not by ${byPx} px.`);
  }
  const grows = byPx > 0;
  const movePx = Math.abs(byPx) / 2;
  const edges = edgePixels(ink, grows);
  if (movePx === 0 || edges.count === 0) {
    const [pixels, colourFrom] = [new Int32Array(0), new Int32Array(0)];
    return { width, height, byPx, pixels, coverage: new Uint8Array(0), colourFrom };
  }
  const nearest = nearestEdges(ink, edges, movePx, grows);
  return changeOf(ink, edges.pixels, nearest, { byPx, binary: isBinary(coverage) });
}

interface Nearest {
  /** Signed distance to the edge, px, on the side that the edge moves into; `Infinity` where it does not come. */
  readonly distancePx: Float32Array;
  /** Which edge pixel that is. */
  readonly edge: Int32Array;
  /** Pixels that have one. */
  readonly reached: Int32Array;
}

/** Every edge pixel tells its surroundings how far they are from it; the nearest is believed. */
function nearestEdges(
  { width, height, coverage }: InkMap,
  edges: ReturnType<typeof edgePixels>,
  movePx: number,
  grows: boolean,
): Nearest {
  const reachPx = movePx + 0.5;
  const offsets = offsetsWithin(reachPx + TOUCH_PX);
  // Distance from a pixel at each offset to the edge in a pixel covered so far.
  const table = new Float32Array(offsets.length * 256);
  for (const [n, { dx, dy, px }] of offsets.entries())
    for (let c = 0; c < 256; c++) table[n * 256 + c] = px + edgeDistance(dx / px, dy / px, c / 255);
  const distancePx = new Float32Array(width * height).fill(Infinity);
  const edge = new Int32Array(width * height);
  let reached = new Int32Array(1 << 16);
  let count = 0;
  const full = grows ? 255 : 0;
  const tell = (i: number, k: number, d: number): void => {
    const before = distancePx[i]!;
    if (d >= before || d >= reachPx) return;
    if (before === Infinity) {
      if (count === reached.length) {
        const larger = new Int32Array(2 * count);
        larger.set(reached);
        reached = larger;
      }
      reached[count++] = i;
    }
    distancePx[i] = d;
    edge[i] = k;
  };
  for (let k = 0; k < edges.count; k++) {
    const i = edges.pixels[k]!;
    const x = i % width;
    const y = (i - x) / width;
    const c = edges.coverage[k]!;
    tell(i, k, edges.ownPx[k]!);
    for (let n = 0; n < offsets.length; n++) {
      const { dx, dy } = offsets[n]!;
      const px = x + dx;
      const py = y + dy;
      if (px < 0 || py < 0 || px >= width || py >= height) continue;
      const to = py * width + px;
      // Nothing changes in what is solid already (or bare already, for a line that shrinks).
      if (coverage[to] !== full) tell(to, k, table[n * 256 + c]!);
    }
  }
  return { distancePx, edge, reached: reached.subarray(0, count).sort() };
}

function offsetsWithin(radiusPx: number): { dx: number; dy: number; px: number }[] {
  const reach = Math.ceil(radiusPx);
  const offsets: { dx: number; dy: number; px: number }[] = [];
  for (let dy = -reach; dy <= reach; dy++) {
    for (let dx = -reach; dx <= reach; dx++) {
      const px = Math.hypot(dx, dy);
      if (px > 0 && px <= radiusPx) offsets.push({ dx, dy, px });
    }
  }
  return offsets;
}

function changeOf(
  ink: InkMap,
  edgePixelsAt: Int32Array,
  { distancePx, edge, reached }: Nearest,
  { byPx, binary }: { byPx: number; binary: boolean },
): LineChange {
  const { width, height, coverage } = ink;
  const [grows, movePx] = [byPx > 0, Math.abs(byPx) / 2];
  const pixels = new Int32Array(reached.length);
  const after = new Uint8Array(reached.length);
  const colourFrom = new Int32Array(reached.length);
  const colours = new Int32Array(edgePixelsAt.length).fill(-1);
  let count = 0;
  for (const i of reached) {
    // ½ − (s − move): what the moving side covers once its edge lies `movePx` farther.
    const share = Math.min(1, Math.max(0, 0.5 - (distancePx[i]! - movePx)));
    const exact = grows ? share : 1 - share;
    const c = binary ? (exact >= 0.5 ? 255 : 0) : Math.round(255 * exact);
    if (grows ? c <= coverage[i]! : c >= coverage[i]!) continue;
    const k = edge[i]!;
    if (grows && colours[k] === -1) colours[k] = mostCovered(ink, edgePixelsAt[k]!);
    pixels[count] = i;
    after[count] = c;
    colourFrom[count++] = grows ? colours[k]! : mostCovered(ink, i);
  }
  return {
    width,
    height,
    byPx,
    pixels: pixels.slice(0, count),
    coverage: after.slice(0, count),
    colourFrom: colourFrom.slice(0, count),
  };
}

/** The most covered of a pixel and those up to two away, the nearest of equals: there the line's colour is purest. */
function mostCovered({ width, height, coverage }: InkMap, i: number): number {
  if (coverage[i] === 255) return i;
  const x = i % width;
  const y = (i - x) / width;
  let best = i;
  let bestDistSq = 0;
  for (let dy = -2; dy <= 2; dy++) {
    for (let dx = -2; dx <= 2; dx++) {
      const [px, py] = [x + dx, y + dy];
      if (px < 0 || py < 0 || px >= width || py >= height) continue;
      const j = py * width + px;
      const distSq = dx * dx + dy * dy;
      if (coverage[j]! > coverage[best]! || (coverage[j] === coverage[best] && distSq < bestDistSq)) {
        best = j;
        bestDistSq = distSq;
      }
    }
  }
  return best;
}

function isBinary(coverage: Uint8Array): boolean {
  for (let i = 0; i < coverage.length; i++) if (coverage[i] !== 0 && coverage[i] !== 255) return false;
  return true;
}

/** The drawing's ink after a change. */
export function changedInk({ width, height, coverage }: InkMap, change: LineChange): InkMap {
  const after = coverage.slice(0, width * height);
  for (let k = 0; k < change.pixels.length; k++) after[change.pixels[k]!] = change.coverage[k]!;
  return { width, height, coverage: after };
}
