/** The heat on the paper: bands over the line, darker and wider where there is more. */
import { type Heat, type Scale, stepCount, stretches } from './heat.ts';

/** Light to dark in one hue, so that it reads without telling colours apart (lightness falls evenly). */
const lightest = [219, 226, 250] as const;
const darkest = [36, 22, 96] as const;

export function stepColour(step: number, count: number): string {
  const share = count > 1 ? step / (count - 1) : 1;
  const mixed = lightest.map((value, n) => Math.round(value + ((darkest[n] ?? 0) - value) * share));
  return `rgb(${mixed.join(' ')})`;
}

/** Width of a band, CSS px: within tolerance a thread, beyond it ever wider. */
export function stepWidthCssPx(step: number, scale: Scale): number {
  if (scale.quiet.includes(step)) return 2;
  const [first = 0, last = first] = [scale.quiet[0], scale.quiet.at(-1)];
  return 4.5 + 2.5 * (step < first ? first - step : step - last);
}

export interface HeatBands {
  readonly scale: Scale;
  readonly paths: readonly { readonly step: number; readonly path: Path2D }[];
}

/** Made once a drawing. Points are in px of the drawing. */
export function heatBands(heat: Heat): HeatBands {
  const { x, y } = heat.samples;
  const paths = [...stretches(heat)]
    // What is beyond tolerance lies on top.
    .sort(([a], [b]) => loudness(a, heat.scale) - loudness(b, heat.scale))
    .map(([step, runs]) => {
      const path = new Path2D();
      for (const run of runs)
        for (const [n, at] of run.entries()) {
          if (n === 0) path.moveTo(x[at] ?? 0, y[at] ?? 0);
          else path.lineTo(x[at] ?? 0, y[at] ?? 0);
        }
      return { step, path };
    });
  return { scale: heat.scale, paths };
}

const loudness = (step: number, scale: Scale): number => stepWidthCssPx(step, scale);

/** Seen from afar a band is no wider than this many times its CSS width in px of a paper 2048 px wide. */
const mostTimes = 1.7;

/** The context's unit is one px of the drawing; `paperScale` is its width in parts of 2048 px. */
export function paintHeat(
  context: CanvasRenderingContext2D,
  bands: HeatBands,
  zoom: number,
  paperScale: number,
): void {
  context.lineCap = 'butt';
  context.lineJoin = 'round';
  const count = stepCount(bands.scale);
  const wide = (cssPx: number): number => Math.min(cssPx / zoom, mostTimes * cssPx * paperScale);
  for (const { step, path } of bands.paths) {
    const cssPx = stepWidthCssPx(step, bands.scale);
    // An edge of the opposite kind, so that a pale band shows on white and a dark one beside black line.
    context.strokeStyle = step < count / 2 ? 'rgb(60 60 60)' : 'rgb(255 255 255)';
    context.lineWidth = wide(cssPx + (bands.scale.quiet.includes(step) ? 0 : 1.6));
    context.stroke(path);
    context.strokeStyle = stepColour(step, count);
    context.lineWidth = wide(cssPx);
    context.stroke(path);
  }
}
