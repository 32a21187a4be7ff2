import type { Box } from './picture.ts';
import { type InkMap, scaleFor } from './reduce.ts';
import { isRefused } from './refused.ts';
import { applyMove, type Registration, registerInk } from './register.ts';
import { scaleInk } from './scale-ink.ts';

export type Redrawn = 'redrawn here' | 'redrawn elsewhere' | 'not redrawn since';

/** Ink of two takes, compared cell by cell after the new one was laid on the old. Survives a store. */
export interface TakeChange {
  /** Px of the older picture. */
  readonly cellPx: number;
  readonly columns: number;
  /** Cells whose ink changed, row by row from the top, ascending. */
  readonly changed: Uint32Array;
  /** How the new take, scaled to the older one's size, moves to lie on it; absent when it lies there. */
  readonly move?: TakeMove;
}

/** Image px of the older picture; see `applyMove`. */
export type TakeMove = Pick<Registration, 'dxPx' | 'dyPx' | 'angleRad'>;

/** Cells along the long edge: a cell of a 2K drawing is 8 px, wider than its lines and finer than a note. */
const CELLS = 256;
/**
 * Share of the ink of a line across a cell by which the cell must change. Leftover registration of 0.1 px
 * moves 0.02 between cells, another resolution 0.04; a line drawn a fifth heavier changes 0.2, a line moved
 * by 1 px 0.12. Lower finds smaller retouches and takes more exports for them.
 */
const CHANGED_FROM = 0.1;
/** Cells that must change: one alone is a corner rendered otherwise. */
const CHANGED_CELLS = 2;
/** Round a place the new line may lie beside it, cells. */
const MARGIN_CELLS = 2;
/** Registration is believed only when it does better by this; a drawing redrawn as a whole has no shift. */
const BELIEVE = 0.005;

/**
 * What changed from one take to the next. The new take may have another size (it is scaled), and lie
 * elsewhere (it is registered); both drawings as ink.
 */
export function takeChange(before: InkMap, after: InkMap): TakeChange {
  const scaled = scaleInk(after, before.width, before.height);
  const found = registerInk(scaled, before, { turns: true });
  const move = !isRefused(found) && found.agreement > found.agreementUnmoved + BELIEVE ? found : undefined;
  const cellPx = scaleFor(before.width, before.height, CELLS);
  const columns = Math.ceil(before.width / cellPx) + 1;
  const rows = Math.ceil(before.height / cellPx) + 1;
  const change = new Float32Array(columns * rows);
  const place = move && ((x: number, y: number) => applyMove(move, before, x, y));
  const inkBefore = spread(before, change, { cellPx, columns, rows, sign: -1 });
  const inkAfter = spread(scaled, change, { cellPx, columns, rows, sign: 1, place });
  const perCell = typicalLine(inkBefore, inkAfter, before, cellPx);
  const changed: number[] = [];
  for (let i = 0; i < change.length; i++) if (Math.abs(change[i]!) / perCell >= CHANGED_FROM) changed.push(i);
  return {
    cellPx,
    columns,
    changed: Uint32Array.from(changed),
    ...(move && { move: { dxPx: move.dxPx, dyPx: move.dyPx, angleRad: move.angleRad } }),
  };
}

/** The verdict for a place in px of the older take. */
export function redrawnAt(change: TakeChange, [x, y, width, height]: Box): Redrawn {
  const { cellPx } = change;
  const left = Math.floor(x / cellPx) - MARGIN_CELLS;
  const top = Math.floor(y / cellPx) - MARGIN_CELLS;
  const right = Math.ceil((x + width) / cellPx) + MARGIN_CELLS;
  const bottom = Math.ceil((y + height) / cellPx) + MARGIN_CELLS;
  let [here, elsewhere] = [0, 0];
  for (const i of change.changed) {
    const column = i % change.columns;
    const row = Math.floor(i / change.columns);
    if (column >= left && column <= right && row >= top && row <= bottom) here++;
    else elsewhere++;
  }
  if (here >= CHANGED_CELLS) return 'redrawn here';
  return here + elsewhere >= CHANGED_CELLS ? 'redrawn elsewhere' : 'not redrawn since';
}

interface Spreading {
  readonly cellPx: number;
  readonly columns: number;
  readonly rows: number;
  readonly sign: 1 | -1;
  readonly place?: ((x: number, y: number) => [number, number]) | undefined;
}

/**
 * Adds each pixel's ink to the four nearest cells, linearly by distance, so that a shift of a fraction of a
 * pixel changes the cells by as small a fraction. Returns the sum of ink, px².
 */
function spread(ink: InkMap, cells: Float32Array, { cellPx, columns, rows, sign, place }: Spreading): number {
  let sum = 0;
  for (let y = 0, i = 0; y < ink.height; y++) {
    for (let x = 0; x < ink.width; x++, i++) {
      const covered = ink.coverage[i]!;
      if (covered === 0) continue;
      const [px, py] = place ? place(x + 0.5, y + 0.5) : [x + 0.5, y + 0.5];
      const cx = Math.min(columns - 1.001, Math.max(0, px / cellPx));
      const cy = Math.min(rows - 1.001, Math.max(0, py / cellPx));
      const at = Math.floor(cy) * columns + Math.floor(cx);
      const [u, v] = [cx % 1, cy % 1];
      const weight = covered / 255;
      sum += weight;
      cells[at]! += sign * weight * (1 - u) * (1 - v);
      cells[at + 1]! += sign * weight * u * (1 - v);
      cells[at + columns]! += sign * weight * (1 - u) * v;
      cells[at + columns + 1]! += sign * weight * u * v;
    }
  }
  return sum;
}

/** Ink of a line across one cell, px²: line weight (ink ÷ half its outline, in a row scan) times the cell. */
function typicalLine(before: number, after: number, ink: InkMap, cellPx: number): number {
  let edges = 0;
  for (let i = 1; i < ink.coverage.length; i++)
    edges += Math.abs(ink.coverage[i]! - ink.coverage[i - 1]!) / 255;
  // Lines lie at all angles: a row crosses one in 2/π of its length, so ink ÷ crossings is w·π/2 on average.
  const lineWidth = before > 0 && edges > 0 ? before / (edges / 2) / (Math.PI / 2) : 1;
  return before + after > 0 ? Math.max(1, lineWidth) * cellPx : 1;
}
