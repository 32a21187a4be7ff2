/** The drawings of a level in time: keys and breakdowns posed, in-betweens put where their chart says. */
import { lerp } from './geometry.ts';

export type Role = 'key' | 'breakdown' | 'inbetween';
export interface Chart {
  readonly from: string;
  readonly to: string;
  readonly fraction: number;
}

/** `length` frames on screen. Labels are the first frame's number. */
interface Exposed {
  readonly label: string;
  readonly length: number;
}
export interface Key<P> extends Exposed {
  readonly role: 'key';
  readonly pose: P;
}
/** Half way (`fraction`) by the chart, then posed by hand. */
export interface Breakdown<P> extends Exposed {
  readonly role: 'breakdown';
  readonly chart: Chart;
  readonly change: Partial<P>;
}
export interface Inbetween extends Exposed {
  readonly role: 'inbetween';
  readonly chart: Chart;
}
export type Timed<P> = Key<P> | Breakdown<P> | Inbetween;

export interface Posed<P> {
  readonly label: string;
  readonly role: Role;
  readonly chart?: Chart;
  readonly length: number;
  readonly pose: P;
}

export const key = <P>(label: string, length: number, pose: P): Key<P> => ({
  role: 'key',
  label,
  length,
  pose,
});
export const breakdown = <P>(
  label: string,
  length: number,
  chart: readonly [from: string, to: string, fraction: number],
  change: Partial<P>,
): Breakdown<P> => ({
  role: 'breakdown',
  label,
  length,
  chart: { from: chart[0], to: chart[1], fraction: chart[2] },
  change,
});
export const inbetween = (
  label: string,
  length: number,
  chart: readonly [from: string, to: string, fraction: number],
): Inbetween => ({
  role: 'inbetween',
  label,
  length,
  chart: { from: chart[0], to: chart[1], fraction: chart[2] },
});

/** The pose at `fraction` of the way: every number by itself, so angles swing on arcs. */
export function between<P extends object>(a: P, b: P, fraction: number): P {
  const out = { ...a } as Record<string, number>;
  for (const [name, value] of Object.entries(b)) out[name] = lerp(out[name]!, value as number, fraction);
  return out as P;
}

/**
 * Every drawing's pose, in the given order. `slip` may put a drawing off its chart (a planted fault): it is
 * given the label and the two poses, and answers with the pose drawn, or nothing.
 */
export function poseAll<P extends object>(
  timed: readonly Timed<P>[],
  inbetweenOf: (a: P, b: P, fraction: number) => P = between,
  slip: (label: string, a: P, b: P) => P | undefined = () => undefined,
): Posed<P>[] {
  const known = new Map<string, P>();
  const find = (label: string): P => {
    const done = known.get(label);
    if (done) return done;
    const drawing = timed.find((d) => d.label === label);
    if (!drawing) throw new Error(`No drawing is labelled ${label}.`);
    let pose: P;
    if (drawing.role === 'key') pose = drawing.pose;
    else {
      const [a, b] = [find(drawing.chart.from), find(drawing.chart.to)];
      pose = slip(label, a, b) ?? inbetweenOf(a, b, drawing.chart.fraction);
      if (drawing.role === 'breakdown') pose = { ...pose, ...drawing.change };
    }
    known.set(label, pose);
    return pose;
  };
  return timed.map((d) => ({
    label: d.label,
    role: d.role,
    ...(d.role === 'key' ? {} : { chart: d.chart }),
    length: d.length,
    pose: find(d.label),
  }));
}
