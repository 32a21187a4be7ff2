/**
 * Published line art as drawings of a known line weight: `lucide-static` (24-unit grid, 2-unit round strokes;
 * its documentation) and the black outlines of `openmoji` (72-unit grid, 2-unit strokes; its style guide),
 * rendered by resvg, so that both the art and the pixels come from outside the program.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { Resvg } from '@resvg/resvg-js';
import type { Picture } from '../../src/line/picture.ts';
import { seeded } from './line-masks.ts';

export interface LineArt {
  readonly name: string;
  readonly svg: string;
  /** Units across the square grid; strokes are 2 units wide. */
  readonly gridUnits: 24 | 72;
}

const folderOf = (packageFile: string) => dirname(createRequire(import.meta.url).resolve(packageFile));

function artIn(folder: string, gridUnits: 24 | 72, suited: (svg: string) => boolean): LineArt[] {
  return readdirSync(folder)
    .filter((file) => file.endsWith('.svg'))
    .sort()
    .map((file) => ({ name: file, gridUnits, svg: readFileSync(join(folder, file), 'utf8') }))
    .filter(({ svg }) => suited(svg));
}

/** Icons drawn by 2-unit strokes alone: nothing filled, scaled or clipped. */
export function lucideArt(): LineArt[] {
  const plain = (svg: string) =>
    !/fill="(?!none)|transform|clip-path|mask|opacity/.test(svg) &&
    [...svg.matchAll(/stroke-width="([^"]*)"/g)].every(([, width]) => width === '2');
  return artIn(join(folderOf('lucide-static/package.json'), 'icons'), 24, plain);
}

/** Outlines whose every shape is an unfilled black 2-unit stroke, on the grid as it stands. */
export function openmojiArt(): LineArt[] {
  const plain = (svg: string) =>
    !/transform|clip-path|mask|opacity|<use|<style|style=/.test(svg) &&
    [...svg.matchAll(/<(?:path|circle|ellipse|line|polyline|polygon|rect)\b[^>]*>/g)].every(
      ([shape]) =>
        /fill="none"/.test(shape) && /stroke-width="2"/.test(shape) && /stroke="#000(000)?"/.test(shape),
    );
  return artIn(join(folderOf('openmoji/package.json'), 'black', 'svg'), 72, plain);
}

/** `count` of them, chosen by a seed. */
export function sampled<T>(items: readonly T[], count: number, seed: number): T[] {
  const random = seeded(seed);
  const left = [...items];
  const chosen: T[] = [];
  while (chosen.length < count && left.length > 0) {
    chosen.push(...left.splice(Math.floor(random() * left.length), 1));
  }
  return chosen;
}

/** The art at the size that makes its strokes `strokePx` wide, on white or on transparent paper. */
export function render(
  { svg, gridUnits }: LineArt,
  strokePx: number,
  paper: 'white' | 'transparent',
): Picture {
  const sizePx = Math.round((gridUnits * strokePx) / 2);
  // The renderer knows no current colour: black is its initial value in any case.
  const rendered = new Resvg(svg.replaceAll('currentColor', '#000'), {
    fitTo: { mode: 'width', value: sizePx },
    font: { loadSystemFonts: false },
    ...(paper === 'white' ? { background: 'white' } : {}),
  }).render();
  return { width: rendered.width, height: rendered.height, channels: 4, data: straight(rendered.pixels) };
}

/** Premultiplied to straight alpha. */
function straight(pixels: Uint8Array): Uint8Array {
  const data = new Uint8Array(pixels);
  for (let i = 0; i < data.length; i += 4) {
    const alpha = data[i + 3]!;
    if (alpha === 0 || alpha === 255) continue;
    for (let k = i; k < i + 3; k++) data[k] = Math.min(255, Math.round((data[k]! * 255) / alpha));
  }
  return data;
}

/** Exact stroke width of a rendering, px: its size is a whole number of pixels, so it may differ a little. */
export const strokeWidthPx = (picture: Picture, { gridUnits }: LineArt): number =>
  (2 * picture.width) / gridUnits;
