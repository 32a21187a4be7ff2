import { type Components, components, pieceBox } from '../components.ts';
import type { Box } from '../picture.ts';
import type { InkMap } from '../reduce.ts';
import { lineRuns, otherRuns, type Runs } from '../runs.ts';
import { fronts, lostPixels, overlaps, places, rasterOf } from './fronts.ts';
import { changedInk, type LineChange } from './reweigh.ts';

/**
 * What a change of weight does to how a drawing hangs together.
 *
 * `line lost`: a line, or a stretch of one, is gone. `line parted`: a line is cut through there, or an outline opened.
 * `gap closed`: two lines, or two ends, run together. `area filled`: paper between lines, or the end of a slit, is gone.
 */
export interface Break {
  readonly kind: 'line lost' | 'line parted' | 'gap closed' | 'area filled';
  /** Image px. */
  readonly box: Box;
}

/**
 * What was lost farther from what is left than the edge moved (half as much again, since steps are counted along
 * rows and columns) and this many px more is no mere edge, but an end or the foot of a slit.
 */
const BEYOND_EDGE_PX = 3;

/**
 * Told from the drawing as it would be, so nothing is left out: pieces of line (8-connected) and of paper
 * (4-connected) before and after. One side only shrinks: what is left of it grows back into what it lost, and where
 * two of its pieces meet, or two of the other side's, it was cut.
 */
export function whatBreaks(ink: InkMap, change: LineChange): Break[] {
  if (change.pixels.length === 0) return [];
  const { width, height } = ink;
  const lineBefore = lineRuns(ink.coverage, width, height);
  const lineAfter = lineRuns(changedInk(ink, change).coverage, width, height);
  const thins = change.byPx < 0;
  const size = { width, height };
  const [line, paper] = [{ ...size, reach: 8 } as const, { ...size, reach: 4 } as const];
  // The side that shrinks, before and after, and the other before.
  const [before, after, other] = thins
    ? [lineBefore, lineAfter, otherRuns(lineBefore)]
    : [otherRuns(lineBefore), otherRuns(lineAfter), lineBefore];
  const [shrinking, growing] = thins ? [line, paper] : [paper, line];

  const lost = lostPixels(before, after);
  const own = fronts(rasterOf(after, components(after, shrinking.reach)), lost, shrinking);
  const others = fronts(rasterOf(other, components(other, growing.reach)), lost, growing);
  // A piece that is gone as a whole is told as that, not as cut all along.
  const cut = [...own.meetings, ...others.meetings.filter((i) => own.labelAt(i) > 0)];
  const cuts = places(cut, width);
  const ends = places(own.farther(1.5 * (Math.abs(change.byPx) / 2) + BEYOND_EDGE_PX), width);
  const gone = [
    ...vanished(before, components(before, shrinking.reach), after),
    ...ends.filter((box) => !cuts.some((place) => overlaps(box, place))),
  ];
  return [
    ...gone.map((box): Break => ({ kind: thins ? 'line lost' : 'area filled', box })),
    ...cuts.map((box): Break => ({ kind: thins ? 'line parted' : 'gap closed', box })),
  ];
}

/** Boxes of the pieces of which nothing is left. */
function vanished(before: Runs, pieces: Components, after: Runs): Box[] {
  const isLeft = new Uint8Array(pieces.count);
  for (let y = 0; y < before.height; y++) {
    let k = before.rowStart[y]!;
    for (let j = after.rowStart[y]!; j < after.rowStart[y + 1]!; j++) {
      // What is left lies within what was.
      while (before.end[k]! <= after.start[j]!) k++;
      isLeft[pieces.ofRun[k]!] = 1;
    }
  }
  return [...isLeft.keys()].filter((piece) => isLeft[piece] === 0).map((piece) => pieceBox(pieces, piece));
}
