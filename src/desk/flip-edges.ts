/** Which edges of the flip set are in view. Pure. */

/** Wide enough for a number of three characters in its circle. */
const edgePx = 44;

/** As many labels around `here` as fit into `widthPx`; all of them when they fit. */
export function edgesAround(labels: readonly string[], here: string, widthPx: number): readonly string[] {
  const fits = Math.max(1, Math.floor(widthPx / edgePx));
  if (labels.length <= fits) return labels;
  const at = Math.max(0, labels.indexOf(here));
  const from = Math.min(Math.max(0, at - Math.floor(fits / 2)), labels.length - fits);
  return labels.slice(from, from + fits);
}
