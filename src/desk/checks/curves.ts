/** Weight, volume and spacing over the frames of a level, as points to draw beside the exposure sheet. Pure. */
import type { Finding } from '../../check/finding.ts';
import { keysWeightPx, type Measured } from '../../check/measured.ts';
import type { Tolerances } from '../../check/tolerances.ts';
import { isRefused } from '../../line/refused.ts';
import { median } from '../../line/statistics.ts';
import type { Level } from '../../shot/model.ts';

export type CurveName = 'weight' | 'volume' | 'spacing' | 'parts';

export interface CurvePoint {
  readonly drawing: string;
  readonly frame: number;
  readonly length: number;
  /** 0 is right on: the keys' weight, the rough's volume, the chart's place. In the unit of the band. */
  readonly off: number;
  /** A check called it out. */
  readonly out: boolean;
  readonly says: string;
}

export interface Curve {
  readonly name: CurveName;
  /** Half the width of the tolerance band. */
  readonly band: number;
  /** Bands to each side that fit; what lies farther off stands at the edge. */
  readonly bands: number;
  /** By frame, one an exposure; exposures of which it could not be measured are left out. */
  readonly points: readonly CurvePoint[];
}

export function percent(share: number): string {
  const whole = Math.round(100 * share);
  return `${whole > 0 ? '+' : whole < 0 ? '−' : ''}${Math.abs(whole)} %`;
}

/** `found`: of the level; what a check called out is shown by how much, be it of one part only. */
export function curvesOf(
  level: Level,
  measured: readonly Measured[],
  tolerances: Tolerances,
  found: readonly Finding[],
): Curve[] {
  const byLabel = new Map(measured.map((each) => [each.drawing.label, each]));
  const keysPx = keysWeightPx(measured);
  const usualPx2 = median(measured.flatMap((each) => enclosedPx2(each) ?? []));
  const curve = (
    name: CurveName,
    band: number,
    read: (each: Measured) => readonly [off: number, says: string] | undefined,
  ): Curve => {
    const targetOf = (label: string): number =>
      name === 'spacing' ? (byLabel.get(label)?.drawing.chart?.fraction ?? 0) : 0;
    /** By drawing: of several called out in one (each of a part) the one that is farthest off. */
    const called = new Map<string, number>();
    for (const { check, drawing, amount } of found) {
      // A part that the chart names is held to its own fraction.
      const part = byLabel
        .get(drawing)
        ?.chartParts?.find(({ found: of }) => !isRefused(of) && of.measured === amount);
      const off = amount - (name === 'spacing' && part ? part.fraction : targetOf(drawing));
      if (check === name && !(Math.abs(called.get(drawing) ?? 0) > Math.abs(off))) called.set(drawing, off);
    }
    return {
      name,
      band,
      bands: usualBands,
      points: level.exposures.flatMap(({ drawing, frame, length }) => {
        const each = byLabel.get(drawing);
        const value = each && read(each);
        if (!value) return [];
        const off = called.get(drawing) ?? value[0];
        return [{ drawing, frame, length, off, out: called.has(drawing), says: value[1] }];
      }),
    };
  };
  return [
    curve('weight', tolerances.weight, ({ measures }) => {
      if (!measures || isRefused(measures.weight) || !keysPx) return undefined;
      const { medianPx } = measures.weight;
      return [medianPx / keysPx - 1, `${medianPx.toFixed(1)} px`];
    }),
    curve('volume', tolerances.volume, (each) => {
      const { measures } = each;
      if (!measures || isRefused(measures.volume)) return undefined;
      const { againstRough } = measures.volume;
      if (typeof againstRough === 'number') return [againstRough - 1, percent(againstRough - 1)];
      // Without a rough that closes: against the shot's own middle.
      const share = usualPx2 > 0 ? measures.volume.enclosedPx2 / usualPx2 - 1 : 0;
      return [share, `${percent(share)} of the shot`];
    }),
    curve('spacing', tolerances.spacing, ({ drawing, spacing }) => {
      if (!drawing.chart || !spacing || isRefused(spacing)) return undefined;
      return [spacing.measured - drawing.chart.fraction, `at ${spacing.measured.toFixed(2)}`];
    }),
  ];
}

function enclosedPx2({ measures }: Measured): number | undefined {
  return measures && !isRefused(measures.volume) ? measures.volume.enclosedPx2 : undefined;
}

/** Two bands to each side fit. */
export const usualBands = 2;

/** −1 … 1 across the strip. */
export function across({ off }: CurvePoint, { band, bands }: Curve): number {
  const at = band > 0 ? off / band : 0;
  return Math.min(bands, Math.max(-bands, at)) / bands;
}

/** Where the band's edge lies, in the measure of `across`. */
export const bandEdge = ({ bands }: Curve): number => 1 / bands;
