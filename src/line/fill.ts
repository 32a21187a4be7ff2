import { pieceBox } from './components.ts';
import type { Leak, Leaks } from './leaks.ts';
import type { Box } from './picture.ts';
import type { Refused } from './refused.ts';
import { isEnclosed, type Regions, regionAt } from './regions.ts';

/** What a fill started at a point would paint. */
export interface Fill {
  /** Runs of painted pixels, three values each: row, first column, column after the last. Rows ascend. */
  readonly runs: Int32Array;
  readonly bbox: Box;
  readonly areaPx2: number;
  /** Whether the paint stays inside the line; otherwise it reaches the edge of the drawing. */
  readonly holds: boolean;
  /** The gaps through which it leaves the region that was meant. Empty when it holds, or none is known. */
  readonly through: readonly Leak[];
}

/**
 * The paint test: which paper a 4-connected fill from pixel (x, y) covers, and through which gaps it leaves
 * the region that closing them would make. Refuses on the line and outside the drawing.
 */
export function fillFrom(
  { regions, leaks }: { regions: Regions; leaks: Leaks },
  x: number,
  y: number,
): Fill | Refused {
  const { runs, pieces } = regions;
  if (x < 0 || y < 0 || x >= runs.width || y >= runs.height) {
    return { refused: 'That place lies outside the drawing.' };
  }
  const region = regionAt(regions, Math.floor(x), Math.floor(y));
  if (region < 0) return { refused: 'That place is line; a fill starts on bare paper.' };
  const painted: number[] = [];
  for (let row = pieces.edges[4 * region + 1]!; row < pieces.edges[4 * region + 3]!; row++) {
    for (let k = runs.rowStart[row]!; k < runs.rowStart[row + 1]!; k++) {
      if (pieces.ofRun[k] === region) painted.push(row, runs.start[k]!, runs.end[k]!);
    }
  }
  const meant = regionAt(leaks.closed, Math.floor(x), Math.floor(y));
  return {
    runs: Int32Array.from(painted),
    bbox: pieceBox(pieces, region),
    areaPx2: pieces.areaPx2[region]!,
    holds: isEnclosed(regions, region),
    through: leaks.leaks.filter((leak) => leak.regions.includes(meant)),
  };
}
