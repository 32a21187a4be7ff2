/** Exports with one file a frame, folded into drawings and exposures. */
import type { Exposure } from './model.ts';

/** One frame of such an export, as far as it is there. Digests are of pixels: equal means equal pixels. */
export interface FrameFiles {
  readonly frame: number;
  /** Label its file name gives: the drawing's, if it is the first to show these pixels. */
  readonly label: string;
  readonly rough?: string;
  readonly clean?: string;
}

export interface Folded {
  /** Labels of the frames that show a drawing for the first time, ascending. */
  readonly labels: readonly string[];
  readonly exposures: readonly Exposure[];
  /** For each frame's label, the label of the drawing it shows. */
  readonly drawingOf: ReadonlyMap<string, string>;
}

/**
 * Folds frames (ascending by `frame`) so that equal pictures are one drawing. Two frames show the same
 * drawing when rough and clean are equal as far as both have them, and at least one is; a drawing that
 * comes back later is exposed again. Frames missing between two numbers are held over (a gap in the
 * numbers is a hold), and the first frame of the export becomes frame 1.
 * Returns undefined when no two neighbouring frames are equal: then these are drawings, not frames.
 */
export function foldFrames(frames: readonly FrameFiles[]): Folded | undefined {
  const held = frames.some((frame, i) => i > 0 && sameDrawing(frame, frames[i - 1]));
  if (!held) return undefined;
  const drawings: FrameFiles[] = [];
  const drawingOf = new Map<string, string>();
  const exposures: Exposure[] = [];
  const start = (frames[0]?.frame ?? 1) - 1;
  let last: FrameFiles | undefined;
  frames.forEach((frame, i) => {
    // The drawing before is asked first: pictures that are alike in rough alone stay with their neighbour.
    const drawing = sameDrawing(frame, last) ? last : drawings.find((known) => sameDrawing(frame, known));
    const shown = drawing ?? frame;
    if (!drawing) drawings.push(frame);
    drawingOf.set(frame.label, shown.label);
    const length = (frames[i + 1]?.frame ?? frame.frame + 1) - frame.frame;
    const previous = exposures.at(-1);
    if (previous && shown === last)
      exposures[exposures.length - 1] = { ...previous, length: previous.length + length };
    else exposures.push({ drawing: shown.label, frame: frame.frame - start, length });
    last = shown;
  });
  return { labels: drawings.map((drawing) => drawing.label), exposures, drawingOf };
}

function sameDrawing(a: FrameFiles, b: FrameFiles | undefined): boolean {
  if (!b) return false;
  const rough = a.rough !== undefined && b.rough !== undefined;
  const clean = a.clean !== undefined && b.clean !== undefined;
  return (rough || clean) && (!rough || a.rough === b.rough) && (!clean || a.clean === b.clean);
}
