/** Lines drawn once more by hand: a slow waver, ends a little off, another weight; rendered by resvg and measured. */
import { Resvg } from '@resvg/resvg-js';
import { inkOf } from '../../src/line/ink.ts';
import { lineSamples } from '../../src/line/line-samples.ts';
import { lineRuns } from '../../src/line/runs.ts';
import type { LineSamples } from '../../src/line/samples.ts';
import { skeletonOf } from '../../src/line/skeleton.ts';
import type { Point } from './draw-lines.ts';

/** Of the hand from one drawing to the next, px: what a steady trace leaves. */
const WAVER_PX = 0.6;
const WAVE_PX = 45;
const END_PX = 2.5;

export function redrawnSamples(
  lines: readonly (readonly Point[])[],
  { width, height }: { readonly width: number; readonly height: number },
  random: () => number,
): LineSamples {
  const weight = 3.2 * (1 + 0.06 * (random() - 0.5));
  const paths = lines
    .map((line) => redrawn(line, random))
    .map((line) => `<path d="M${line.map(([x, y]) => `${x.toFixed(2)} ${y.toFixed(2)}`).join('L')}"/>`)
    .join('');
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}"><g fill="none" stroke="#000" stroke-width="${weight}" stroke-linecap="round" stroke-linejoin="round">${paths}</g></svg>`;
  const picture = new Resvg(svg, { background: 'white', font: { loadSystemFonts: false } }).render();
  const ink = inkOf({ width, height, channels: 4, data: new Uint8Array(picture.pixels) });
  return lineSamples(ink, skeletonOf(lineRuns(ink.coverage, width, height)));
}

function redrawn(line: readonly Point[], random: () => number): Point[] {
  const [a, b, c, d] = [random(), random(), random(), random()].map((share) => 2 * Math.PI * share);
  const closed = Math.hypot(line[0]![0] - line.at(-1)![0], line[0]![1] - line.at(-1)![1]) < 0.5;
  let along = 0;
  const out = line.map(([x, y], k): Point => {
    if (k > 0) along += Math.hypot(x - line[k - 1]![0], y - line[k - 1]![1]);
    const wave = (2 * Math.PI * along) / WAVE_PX;
    const own = closed ? 0.5 : 1;
    return [
      x + own * WAVER_PX * (Math.sin(wave + a!) * 0.7 + Math.sin(1.7 * wave + c!) * 0.5),
      y + own * WAVER_PX * (Math.sin(wave + b!) * 0.7 + Math.sin(1.9 * wave + d!) * 0.5),
    ];
  });
  if (closed) out[out.length - 1] = out[0]!;
  else {
    out[0] = lengthened(out[0]!, out[1]!, END_PX * (2 * random() - 1));
    out[out.length - 1] = lengthened(out.at(-1)!, out.at(-2)!, END_PX * (2 * random() - 1));
  }
  return out;
}

/** An end moved along its own line. */
function lengthened(end: Point, inside: Point, byPx: number): Point {
  const length = Math.hypot(end[0] - inside[0], end[1] - inside[1]) || 1;
  const share = byPx / length;
  return [end[0] + share * (end[0] - inside[0]), end[1] + share * (end[1] - inside[1])];
}
