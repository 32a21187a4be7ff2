/**
 * Short shots of published line art (lucide-static, openmoji) that travels, squashes, grows or turns, in which one
 * drawing's volume pops by a known share or none does. Pictures by resvg from one linear map a drawing, so the truth is
 * geometry: area goes with the map's determinant.
 */
import { Resvg } from '@resvg/resvg-js';
import type { Measured } from '../../src/check/measured.ts';
import { measureDrawing } from '../../src/line/measure-drawing.ts';
import type { Picture } from '../../src/line/picture.ts';
import { isRefused } from '../../src/line/refused.ts';
import { type LineArt, lucideArt, openmojiArt } from './line-art.ts';
import { seeded } from './line-masks.ts';

export const VOLUME_PAPER = [720, 540] as const;
const [WIDTH, HEIGHT] = VOLUME_PAPER;
const DRAWINGS = 7;
/** The drawing that pops, is hidden in part or is cut open. */
export const POPPED = 3;
const ART_PX = 300;
const LINE_PX = 3.6;

export const MOTIONS = ['travels', 'squashes', 'grows', 'grows unevenly', 'turns'] as const;

export interface VolumeShot {
  readonly art: LineArt;
  /** Turns quickly: out of the paper by 45° and back, within five drawings. */
  readonly motion: (typeof MOTIONS)[number] | 'turns quickly';
  /** Share of area, 0 for none. */
  readonly pop: number;
  readonly popsInRough: boolean;
  readonly seed: number;
  /** A board before the art in one drawing, or a post that it passes behind in all; a strip cut out of one drawing. */
  readonly cover?: 'board' | 'post' | 'cut';
}

/** Width and height of the art at each drawing, 1 at first. */
function sizeAt(motion: VolumeShot['motion'], k: number): readonly [number, number] {
  const uneven = [0, 0.02, 0.08, 0.19, 0.3, 0.36, 0.38][k]!;
  const yawDeg = [0, 3, 20, 45, 20, 3, 0][k]!;
  switch (motion) {
    case 'travels':
      return [1, 1];
    case 'squashes': {
      const stretch = 1 + 0.25 * Math.sin(k * 1.3);
      return [stretch, 1 / stretch];
    }
    case 'grows':
      return [1.03 ** k, 1.03 ** k];
    case 'grows unevenly':
      return [1 + uneven, 1 + uneven];
    case 'turns':
      return [Math.cos((k * 9 * Math.PI) / 180), 1];
    case 'turns quickly':
      return [Math.cos((yawDeg * Math.PI) / 180), 1];
  }
}

/** The shot as it is measured. The hand leaves some per cent: each drawing's width and height are ±0.25 % off. */
export function volumeShot({ art, motion, pop, popsInRough, seed, cover }: VolumeShot): Measured[] {
  const random = seeded(seed);
  const tiltDeg = 360 * random();
  const cutDeg = 180 * random();
  const besidePx = ART_PX * (0.1 + 0.25 * random());
  return Array.from({ length: DRAWINGS }, (_, k): Measured => {
    const [wide, high] = sizeAt(motion, k);
    const [x, y] = [240 + 34 * k, 280 - 8 * k + 2 * random()];
    const popped = Math.sqrt(1 + (k === POPPED ? pop : 0));
    const hand = () => 1 + 0.005 * (random() - 0.5);
    const placed = (size: number, [sx, sy]: readonly number[], dx = 0, dy = 0) =>
      artAt(art, {
        map: `translate(${x + dx} ${y + dy}) scale(${wide * size * sx!} ${high * size * sy!}) rotate(${tiltDeg + 3 * k})`,
        linePx: LINE_PX / (Math.sqrt(wide * high) * size),
      });
    const board = (at: number) =>
      `<rect x="${at}" y="20" width="60" height="500" fill="#fff" stroke="#000" stroke-width="${LINE_PX}"/>`;
    const cut = `<path d="M-400 0H400" transform="translate(${x} ${y}) rotate(${cutDeg})" stroke="#fff" stroke-width="14"/>`;
    const over = {
      board: k === POPPED ? board(x + besidePx) : '',
      post: board(400),
      cut: k === POPPED ? cut : '',
      none: '',
    }[cover ?? 'none'];
    const inRough = popsInRough ? popped : 1;
    const strokes = [0, 1, 2].map(() =>
      placed(inRough, [1, 1], 2.4 * (random() - 0.5), 2.4 * (random() - 0.5)),
    );
    const rough = drawn(`<g opacity="0.75">${strokes.join('')}</g>${over}`);
    const clean = drawn(placed(popped, [hand(), hand()]) + over);
    return {
      drawing: { label: String(k + 1), takes: [] },
      measures: measureDrawing(clean, rough),
      spacing: undefined,
      boil: undefined,
      failed: undefined,
    };
  });
}

function drawn(marks: string, width: number = WIDTH, height: number = HEIGHT): Picture {
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}"><rect width="${width}" height="${height}" fill="#fff"/>${marks}</svg>`;
  const { pixels } = new Resvg(svg, { font: { loadSystemFonts: false } }).render();
  return { width, height, channels: 4, data: new Uint8Array(pixels) };
}

/** The art's middle at the origin, `ART_PX` wide before `map`; its line `linePx` wide after a map of size 1. */
function artAt({ svg, gridUnits }: LineArt, { map, linePx }: { map: string; linePx: number }): string {
  const unitPx = ART_PX / gridUnits;
  const width = linePx / unitPx;
  const inner = svg
    .replace(/^[\s\S]*?<svg[^>]*>/, '')
    .replace(/<\/svg>\s*$/, '')
    .replace(/stroke-width="2"/g, `stroke-width="${width}"`);
  const pen = `fill="none" stroke="#000" stroke-width="${width}" stroke-linecap="round" stroke-linejoin="round"`;
  return `<g transform="${map} scale(${unitPx}) translate(${-gridUnits / 2} ${-gridUnits / 2})" ${pen}>${inner}</g>`;
}

/** Pictures with one large closed part at least: even ones for tuning, odd ones for judging. */
export function closedArt(set: 'tune' | 'judge', count: number, seed: number): LineArt[] {
  const random = seeded(seed);
  const all = [...lucideArt(), ...openmojiArt()].filter((_, k) => k % 2 === (set === 'tune' ? 0 : 1));
  const chosen: LineArt[] = [];
  while (chosen.length < count) {
    const art = all[Math.floor(random() * all.length)]!;
    if (largestPart(art) > 0.06 * ART_PX * ART_PX) chosen.push(art);
  }
  return chosen;
}

function largestPart(art: LineArt): number {
  const size = ART_PX + 20;
  const map = `translate(${size / 2} ${size / 2})`;
  const { volume } = measureDrawing(drawn(artAt(art, { map, linePx: LINE_PX }), size, size), undefined);
  return isRefused(volume) ? 0 : volume.parts[0]!.areaPx2;
}
