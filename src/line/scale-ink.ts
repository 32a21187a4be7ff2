import type { InkMap } from './reduce.ts';

/**
 * The same drawing at another size, each new pixel the exact average of the area it covers (a new pixel
 * smaller than an old one takes the value linearly between their middles). Ink keeps its share of the area.
 */
export function scaleInk(ink: InkMap, width: number, height: number): InkMap {
  if (width === ink.width && height === ink.height) return ink;
  const columns = spans(ink.width, width);
  const rows = spans(ink.height, height);
  const coverage = new Uint8Array(width * height);
  const sums = new Float32Array(ink.width);
  for (const [y, row] of rows.entries()) {
    sums.fill(0);
    for (const [i, weight] of row.weights.entries()) {
      const from = (row.first + i) * ink.width;
      for (let x = 0; x < ink.width; x++) sums[x]! += weight * ink.coverage[from + x]!;
    }
    for (const [x, column] of columns.entries()) {
      let sum = 0;
      for (const [i, weight] of column.weights.entries()) sum += weight * sums[column.first + i]!;
      coverage[y * width + x] = Math.round(sum);
    }
  }
  return { width, height, coverage };
}

interface Span {
  readonly first: number;
  /** Sum 1. */
  readonly weights: readonly number[];
}

/** For each of `to` new pixels along one side, the old pixels it takes from. */
function spans(from: number, to: number): Span[] {
  const step = from / to;
  return Array.from({ length: to }, (_, i) =>
    step < 1 ? between(from, (i + 0.5) * step - 0.5) : over(from, i * step, step),
  );
}

function between(from: number, at: number): Span {
  const held = Math.min(from - 1, Math.max(0, at));
  const first = Math.min(Math.floor(held), Math.max(0, from - 2));
  return from === 1 ? { first: 0, weights: [1] } : { first, weights: [1 - (held - first), held - first] };
}

function over(from: number, start: number, length: number): Span {
  const first = Math.floor(start);
  const last = Math.min(from - 1, Math.ceil(start + length - 1e-9) - 1);
  const weights = Array.from({ length: last - first + 1 }, (_, i) => {
    const at = first + i;
    return (Math.min(at + 1, start + length) - Math.max(at, start)) / length;
  });
  return { first, weights };
}
