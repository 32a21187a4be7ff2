/** Which edges of the flip set are in view. Pure. */

/** Wide enough for a number of three characters in its circle. */
const edgePx = 44;

const fitIn = (widthPx: number): number => Math.max(1, Math.floor(widthPx / edgePx));

/** As many labels around `here` as fit into `widthPx`; all of them when they fit. */
export function edgesAround(labels: readonly string[], here: string, widthPx: number): readonly string[] {
  const fits = fitIn(widthPx);
  if (labels.length <= fits) return labels;
  const at = Math.max(0, labels.indexOf(here));
  const from = Math.min(Math.max(0, at - Math.floor(fits / 2)), labels.length - fits);
  return labels.slice(from, from + fits);
}

/** As many labels as fit, from the one at `from` on, as far as there are enough. */
export function edgesFrom(labels: readonly string[], from: number, widthPx: number): readonly string[] {
  const fits = fitIn(widthPx);
  const first = Math.max(0, Math.min(from, labels.length - fits));
  return labels.slice(first, first + fits);
}

/** A finger that lies on the first or last edge for so long pulls further ones in: a tap there must not. */
const restMs = 400;
/** Slow enough to stop at a drawing. */
const drawingsPerSecond = 8;

/** A finger on the edges. */
export interface EndRun {
  /** Which end it lies on; 0 for neither. */
  readonly end: -1 | 0 | 1;
  /** When the next edge is pulled in, ms. */
  readonly dueMs: number;
}

export const notRunning: EndRun = { end: 0, dueMs: 0 };

/** Where the finger at `xPx` takes the run at `nowMs`; `by` edges are pulled in now. */
export function runAtEnds(
  run: EndRun,
  xPx: number,
  widthPx: number,
  nowMs: number,
): { readonly run: EndRun; readonly by: -1 | 0 | 1 } {
  const end = xPx < edgePx ? -1 : xPx > widthPx - edgePx ? 1 : 0;
  if (end !== run.end) return { run: { end, dueMs: nowMs + restMs }, by: 0 };
  if (end === 0 || nowMs < run.dueMs) return { run, by: 0 };
  return { run: { end, dueMs: nowMs + 1000 / drawingsPerSecond }, by: end };
}
