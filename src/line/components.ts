import type { Box } from './picture.ts';
import type { Runs } from './runs.ts';

/** The connected pieces of a mask. Pieces are numbered from 0 in the order of their first pixel, row by row. */
export interface Components {
  readonly count: number;
  /** The piece each run belongs to. */
  readonly ofRun: Int32Array;
  /** Pixels in each piece. */
  readonly areaPx2: Int32Array;
  /** Four values a piece: left, top, right, bottom; right and bottom are exclusive. */
  readonly edges: Int32Array;
}

/**
 * Connected components of runs by union-find (two passes: He, Chao & Suzuki 2008). Line is 8-connected and
 * paper 4-connected, so that a fill cannot slip through a diagonal line.
 */
export function components({ width, height, rowStart, start, end }: Runs, connectivity: 4 | 8): Components {
  const runs = start.length;
  const parent = new Int32Array(runs);
  const touch = connectivity === 8 ? 1 : 0;
  const find = (run: number): number => {
    let root = run;
    while (parent[root]! !== root) root = parent[root]!;
    for (let k = run; k !== root; ) {
      const next = parent[k]!;
      parent[k] = root;
      k = next;
    }
    return root;
  };
  for (let y = 0; y < height; y++) {
    let above = y > 0 ? rowStart[y - 1]! : 0;
    const aboveEnd = y > 0 ? rowStart[y]! : 0;
    for (let k = rowStart[y]!; k < rowStart[y + 1]!; k++) {
      parent[k] = k;
      while (above < aboveEnd && end[above]! + touch <= start[k]!) above++;
      for (let a = above; a < aboveEnd && start[a]! < end[k]! + touch; a++) {
        const one = find(a);
        const other = find(k);
        // The smaller root wins, so that a piece keeps its first run as root.
        if (one < other) parent[other] = one;
        else parent[one] = other;
      }
    }
  }
  const ofRun = new Int32Array(runs);
  let count = 0;
  for (let k = 0; k < runs; k++) {
    const root = find(k);
    ofRun[k] = root === k ? count++ : ofRun[root]!;
  }
  const areaPx2 = new Int32Array(count);
  const edges = new Int32Array(4 * count);
  for (let piece = 0; piece < count; piece++) {
    edges[4 * piece] = width;
    edges[4 * piece + 1] = height;
  }
  for (let y = 0; y < height; y++) {
    for (let k = rowStart[y]!; k < rowStart[y + 1]!; k++) {
      const piece = ofRun[k]!;
      const at = 4 * piece;
      areaPx2[piece] = areaPx2[piece]! + end[k]! - start[k]!;
      edges[at] = Math.min(edges[at]!, start[k]!);
      edges[at + 1] = Math.min(edges[at + 1]!, y);
      edges[at + 2] = Math.max(edges[at + 2]!, end[k]!);
      edges[at + 3] = y + 1;
    }
  }
  return { count, ofRun, areaPx2, edges };
}

/** The box round one piece. */
export function pieceBox({ edges }: Components, piece: number): Box {
  const at = 4 * piece;
  return [edges[at]!, edges[at + 1]!, edges[at + 2]! - edges[at]!, edges[at + 3]! - edges[at + 1]!];
}
