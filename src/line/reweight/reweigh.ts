import type { InkMap } from '../reduce.ts';
import type { PixelChange } from './apply-change.ts';
import { edgeDistance } from './edge-distance.ts';
import { type EdgePixels, edgePixels } from './edge-pixels.ts';

/** What a change of line weight does to a drawing: pixels ascending, each coloured by the edge that it comes from. */
export interface LineChange extends PixelChange {
  /** How much wider every line becomes, px; negative for thinner. */
  readonly byPx: number;
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
  return changeOf(ink, edges, { byPx, binary: isBinary(coverage) });
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

/**
 * Every edge pixel tells its surroundings how far they are from it; the nearest is believed. Row by row: a row is done
 * once the edges as far below it as they reach have told, so a few rows of distances serve the whole drawing.
 */
function changeOf(
  ink: InkMap,
  edges: EdgePixels,
  { byPx, binary }: { byPx: number; binary: boolean },
): LineChange {
  const { width, height, coverage } = ink;
  const [grows, movePx] = [byPx > 0, Math.abs(byPx) / 2];
  const reachPx = movePx + 0.5;
  const offsets = offsetsWithin(reachPx + TOUCH_PX);
  const most = offsets.length;
  // Distance from a pixel at each offset to the edge in a pixel covered so far.
  const table = new Float32Array(most * 256);
  for (const [n, { dx, dy, px }] of offsets.entries())
    for (let c = 0; c < 256; c++) table[n * 256 + c] = px + edgeDistance(dx / px, dy / px, c / 255);
  const dxOf = Int32Array.from(offsets, ({ dx }) => dx);
  const dyOf = Int32Array.from(offsets, ({ dy }) => dy);
  const reach = dyOf.reduce((far, dy) => Math.max(far, dy), 0);
  const slots = 2 * reach + 1;
  const distancePx = new Float32Array(slots * width).fill(Infinity);
  const nearest = new Int32Array(slots * width);
  const full = grows ? 255 : 0;

  const colours = new Int32Array(edges.count).fill(-1);
  let room = 2 * edges.count + 1024;
  let [pixels, after, colourFrom] = [new Int32Array(room), new Uint8Array(room), new Int32Array(room)];
  let count = 0;
  /** Reads a row that no edge tells anything any more, and clears its place for another. */
  const settle = (y: number): void => {
    const slot = (y % slots) * width;
    if (count + width > room) {
      room = 2 * room + width;
      [pixels, after, colourFrom] = [
        larger(pixels, new Int32Array(room)),
        larger(after, new Uint8Array(room)),
        larger(colourFrom, new Int32Array(room)),
      ];
    }
    for (let x = 0; x < width; x++) {
      const d = distancePx[slot + x]!;
      if (d === Infinity) continue;
      distancePx[slot + x] = Infinity;
      const i = y * width + x;
      // ½ − (s − move): what the moving side covers once its edge lies `movePx` farther.
      const share = Math.min(1, Math.max(0, 0.5 - (d - movePx)));
      const exact = grows ? share : 1 - share;
      const c = binary ? (exact >= 0.5 ? 255 : 0) : Math.round(255 * exact);
      if (grows ? c <= coverage[i]! : c >= coverage[i]!) continue;
      const k = nearest[slot + x]!;
      if (grows && colours[k] === -1) colours[k] = mostCovered(ink, edges.pixels[k]!);
      pixels[count] = i;
      after[count] = c;
      colourFrom[count++] = grows ? colours[k]! : mostCovered(ink, i);
    }
  };

  let settled = 0;
  for (let k = 0; k < edges.count; k++) {
    const i = edges.pixels[k]!;
    const x = i % width;
    const y = (i - x) / width;
    for (; settled < y - reach; settled++) settle(settled);
    const c = edges.coverage[k]!;
    const own = edges.ownPx[k]!;
    const self = (y % slots) * width + x;
    if (own < distancePx[self]! && own < reachPx) {
      distancePx[self] = own;
      nearest[self] = k;
    }
    for (let n = 0; n < most; n++) {
      const d = table[n * 256 + c]!;
      if (d >= reachPx) continue;
      const px = x + dxOf[n]!;
      const py = y + dyOf[n]!;
      if (px < 0 || py < 0 || px >= width || py >= height) continue;
      // Nothing changes in what is solid already (or bare already, for a line that shrinks).
      if (coverage[py * width + px] === full) continue;
      const at = (py % slots) * width + px;
      if (d >= distancePx[at]!) continue;
      distancePx[at] = d;
      nearest[at] = k;
    }
  }
  for (const last = Math.min(height, settled + slots); settled < last; settled++) settle(settled);
  return {
    width,
    height,
    byPx,
    pixels: pixels.slice(0, count),
    coverage: after.slice(0, count),
    colourFrom: colourFrom.slice(0, count),
  };
}

function larger<T extends Int32Array | Uint8Array>(values: T, into: T): T {
  into.set(values);
  return into;
}

/** The most covered of a pixel and those up to two away, the nearest of equals: there the line's colour is purest. */
export function mostCovered({ width, height, coverage }: InkMap, i: number): number {
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

export function isBinary(coverage: Uint8Array): boolean {
  for (let i = 0; i < coverage.length; i++) if (coverage[i] !== 0 && coverage[i] !== 255) return false;
  return true;
}

/** The drawing's ink after a change. */
export function changedInk({ width, height, coverage }: InkMap, change: LineChange): InkMap {
  const after = coverage.slice(0, width * height);
  for (let k = 0; k < change.pixels.length; k++) after[change.pixels[k]!] = change.coverage[k]!;
  return { width, height, coverage: after };
}
