/** Drawings moving by themselves: which one lies on the paper at which moment. Pure. */
import { lastFrame } from '../shot/exposures.ts';
import type { Shot } from '../shot/model.ts';
import { act, type DeskModel, flipLabels } from './model.ts';

/** The frame at `elapsedMs` after frame `start`; `undefined` once a run without loop is over. */
export function frameAt(
  elapsedMs: number,
  framesPerSecond: number,
  start: number,
  last: number,
  loop: boolean,
): number | undefined {
  const run = Math.floor((elapsedMs / 1000) * framesPerSecond + 1e-6);
  const frame = Math.max(1, start) + run;
  if (frame <= last) return frame;
  return loop && last > 0 ? ((frame - 1) % last) + 1 : undefined;
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
  const frame = frameAt(elapsedMs, framesPerSecond, begun.frame, lastFrame(shot), begun.loop);
  return frame === undefined ? undefined : act(shot, begun, { do: 'frame', frame });
}

/** Every picture that a motion goes through once, in order: for the flash check. */
export function modelsOfMotion(shot: Shot, begun: DeskModel): DeskModel[] {
  if (begun.motion === 'roll') {
    return flipLabels(shot, begun).map((label) => act(shot, begun, { do: 'drawing', label }));
  }
  const models: DeskModel[] = [];
  const last = lastFrame(shot);
  for (let frame = 1; frame <= last; frame++) models.push(act(shot, begun, { do: 'frame', frame }));
  return models;
}
