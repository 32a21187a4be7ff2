/** Whether a colour can be the edge of a line: paper and line colour mixed, as anti-aliasing mixes them. */
import { linearOf } from '../luminance.ts';
import type { Rgb } from './rules.ts';

/** Rounding of colour and alpha to bytes, levels. */
const ROUNDING = 2;

/** Largest difference of any channel, levels. */
export const apart = (a: Rgb, b: Rgb): number =>
  Math.max(Math.abs(a[0] - b[0]), Math.abs(a[1] - b[1]), Math.abs(a[2] - b[2]));

/**
 * Share of `line` in a mix of `paper` and `line` that gives `colour`, 0–1; undefined when none comes within
 * `withinLevels`. Programs mix in sRGB or in linear light, so both are tried.
 */
export function shareOf(colour: Rgb, paper: Rgb, line: Rgb, withinLevels: number): number | undefined {
  const within = withinLevels + ROUNDING;
  const plain = shareBy(colour, paper, line, (level) => level);
  if (plain !== undefined && apart(colour, mixed(paper, line, plain)) <= within) return plain;
  const light = shareBy(colour, paper, line, (level) => linearOf[level]!);
  return light !== undefined && apart(colour, mixedInLight(paper, line, light)) <= within ? light : undefined;
}

/** Least squares, held to 0–1. */
function shareBy(colour: Rgb, paper: Rgb, line: Rgb, of: (level: number) => number): number | undefined {
  let along = 0;
  let whole = 0;
  for (let k = 0; k < 3; k++) {
    const from = of(paper[k]!);
    const way = of(line[k]!) - from;
    along += (of(colour[k]!) - from) * way;
    whole += way * way;
  }
  return whole === 0 ? undefined : Math.min(1, Math.max(0, along / whole));
}

const mixed = (paper: Rgb, line: Rgb, share: number): Rgb => [
  paper[0] + share * (line[0] - paper[0]),
  paper[1] + share * (line[1] - paper[1]),
  paper[2] + share * (line[2] - paper[2]),
];

const mixedInLight = (paper: Rgb, line: Rgb, share: number): Rgb => {
  const channel = (k: 0 | 1 | 2): number => {
    const from = linearOf[paper[k]]!;
    return levelOf(from + share * (linearOf[line[k]]! - from));
  };
  return [channel(0), channel(1), channel(2)];
};

/** Linear light 0–1 to a level of 255 (IEC 61966-2-1:1999). */
const levelOf = (light: number): number =>
  255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055);
