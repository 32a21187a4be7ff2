/** Drawings moving by themselves: which one lies on the paper at which moment. Pure. */
import type { Shot } from '../shot/model.ts';
import { act, type DeskModel, flipLabels, playedFrames } from './model.ts';

/**
 * The frame at `elapsedMs` after frame `start`, of the frames `from` to `last`; `undefined` once a run without loop
 * is over. A start outside of them goes to the first.
 */
export function frameAt(
  elapsedMs: number,
  framesPerSecond: number,
  start: number,
  last: number,
  loop: boolean,
  from = 1,
): number | undefined {
  const run = Math.floor((elapsedMs / 1000) * framesPerSecond + 1e-6);
  const frame = (start < from || start > last ? from : start) + run;
  if (frame <= last) return frame;
  const count = last - from + 1;
  return loop && count > 0 && last > 0 ? ((frame - from) % count) + from : undefined;
}

/** To and fro: 0 1 2 1 0 1 2 … for three. */
export function toAndFro(step: number, count: number): number {
  if (count < 2) return 0;
  const period = 2 * (count - 1);
  const at = ((step % period) + period) % period;
  return at < count ? at : period - at;
}

/** The desk `elapsedMs` into its motion, or `undefined` when the motion has come to its end. */
export function modelInMotion(
  shot: Shot,
  begun: DeskModel,
  elapsedMs: number,
  framesPerSecond: number,
): DeskModel | undefined {
  if (begun.motion === 'roll') {
    const labels = flipLabels(shot, begun);
    const from = Math.max(0, labels.indexOf(begun.drawing));
    const step = Math.floor((elapsedMs / 1000) * framesPerSecond + 1e-6);
    const label = labels[toAndFro(from + step, labels.length)];
    return label === undefined ? begun : act(shot, begun, { do: 'drawing', label });
  }
  const { from, to } = playedFrames(shot, begun);
  const frame = frameAt(elapsedMs, framesPerSecond, begun.frame, to, begun.loop, from);
  return frame === undefined ? undefined : act(shot, begun, { do: 'frame', frame });
}

/** Every picture that a motion goes through once, in order: for the flash check. */
export function modelsOfMotion(shot: Shot, begun: DeskModel): DeskModel[] {
  if (begun.motion === 'roll') {
    return flipLabels(shot, begun).map((label) => act(shot, begun, { do: 'drawing', label }));
  }
  const models: DeskModel[] = [];
  const { from, to } = playedFrames(shot, begun);
  for (let frame = from; frame <= to; frame++) models.push(act(shot, begun, { do: 'frame', frame }));
  return models;
}
