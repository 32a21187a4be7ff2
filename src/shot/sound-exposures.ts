/** Exposures of unknown origin put in order. */
import type { Exposure } from './model.ts';

/**
 * Ascending by frame, of known drawings only, each cut where the next starts; of two that start at the same
 * frame the later one in the list counts. One sentence for everything that was changed.
 */
export function soundExposures(
  exposures: readonly Exposure[],
  labels: readonly string[],
): { exposures: Exposure[]; faults: string[] } {
  const known = new Set(labels);
  const faults: string[] = [];
  const ordered = exposures
    .filter(({ drawing, frame }) => {
      if (!known.has(drawing))
        faults.push(`Frame ${frame} exposes drawing ${drawing}, which is not there: left out.`);
      return known.has(drawing);
    })
    .sort((a, b) => a.frame - b.frame);
  const sound = ordered.flatMap((exposure, i) => {
    const { drawing, frame, length } = exposure;
    const room = (ordered[i + 1]?.frame ?? Infinity) - frame;
    if (room === 0) faults.push(`Drawing ${drawing} and another both start at frame ${frame}: left out.`);
    else if (room < length)
      faults.push(`Drawing ${drawing} at frame ${frame} is held into the next: cut to ${room}.`);
    return room === 0 ? [] : [{ drawing, frame, length: Math.min(length, room) }];
  });
  return { exposures: sound, faults };
}
