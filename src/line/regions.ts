import { type Components, components } from './components.ts';
import { otherRuns, type Runs, runAt } from './runs.ts';

/** The paper as a fill sees it: 4-connected regions parted by the line. */
export interface Regions {
  readonly runs: Runs;
  readonly pieces: Components;
}

/** Regions of the paper. `barrier`, ascending pixel indices, is closed to the fill as well as the line. */
export function regionsOf(line: Runs, barrier: ArrayLike<number> = []): Regions {
  const paper = otherRuns(line);
  const runs = barrier.length === 0 ? paper : split(paper, barrier);
  return { runs, pieces: components(runs, 4) };
}

/** The region at a pixel, or −1 on the line, on a barrier and outside the paper. */
export function regionAt({ runs, pieces }: Regions, x: number, y: number): number {
  const run = runAt(runs, x, y);
  return run < 0 ? -1 : pieces.ofRun[run]!;
}

/** Whether a region is enclosed by line: it does not reach the edge of the drawing. */
export function isEnclosed({ runs, pieces }: Regions, region: number): boolean {
  const at = 4 * region;
  const { edges } = pieces;
  return edges[at]! > 0 && edges[at + 1]! > 0 && edges[at + 2]! < runs.width && edges[at + 3]! < runs.height;
}

function split(paper: Runs, barrier: ArrayLike<number>): Runs {
  const { width, height } = paper;
  const rowStart = new Int32Array(height + 1);
  const start: number[] = [];
  const end: number[] = [];
  let next = 0;
  for (let y = 0; y < height; y++) {
    rowStart[y] = start.length;
    for (let k = paper.rowStart[y]!; k < paper.rowStart[y + 1]!; k++) {
      let from = paper.start[k]!;
      const to = paper.end[k]!;
      while (next < barrier.length && barrier[next]! < y * width + to) {
        const x = barrier[next++]! - y * width;
        if (x < from) continue;
        if (x > from) {
          start.push(from);
          end.push(x);
        }
        from = x + 1;
      }
      if (from < to) {
        start.push(from);
        end.push(to);
      }
    }
  }
  rowStart[height] = start.length;
  return { width, height, rowStart, start: Int32Array.from(start), end: Int32Array.from(end) };
}
