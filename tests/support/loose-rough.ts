/**
 * A seeded maker of clean-ups over loose roughs, of published line art (lucide-static, openmoji) rendered by resvg:
 * what the rough's strokes stray by and where a line was displaced is known without any code of the program.
 * Lengths in px of paper 2048 px wide; `scale` 2 makes it 4096.
 */
import { Resvg } from '@resvg/resvg-js';
import type { Picture } from '../../src/line/picture.ts';
import { lengthOf, resampled, strokesOf } from './art-strokes.ts';
import type { Point } from './draw-lines.ts';
import { type LineArt, lucideArt, openmojiArt } from './line-art.ts';
import { seeded } from './line-masks.ts';

/**
 * Usual: two to four searching strokes with 2 px of jitter (root mean square, at most 4.5 px to a side). Very loose: two to
 * four strokes that stray by up to 8 px, over construction. Tied down: one firm stroke, half a px.
 */
export type Looseness = 'usual' | 'very loose' | 'tied down';

export interface LooseDrawing {
  readonly name: string;
  readonly clean: Picture;
  readonly rough: Picture;
  /** Farthest that a stroke of the rough strays from the true line, px of the picture. */
  readonly strayPx: number;
  /** The line that was displaced: a box round it, and how far from any true line it goes, px of the picture. */
  readonly planted?: { readonly box: readonly [number, number, number, number]; readonly byPx: number };
}

const [WIDTH, HEIGHT] = [2048, 1152];
const CLEAN_PX = 5;
const PENCIL_PX = 3.2;
const ART_HIGH = 860;
/** A displacement must show over this length. */
const SHOWN_PX = 60;
/** A displaced line goes farther beyond the rough's strokes than this. */
const BEYOND_PX = 4;

let art: LineArt[] | undefined;

/** Even pictures are for tuning, odd ones for judging: no figure comes from a picture that was tuned to. */
export function loosePictures(set: 'tune' | 'judge'): LineArt[] {
  art ??= [...lucideArt(), ...openmojiArt()].filter((one) => {
    // A flag is a bare rectangle.
    if (/^1F1[EF][0-9A-F]-/.test(one.name)) return false;
    const strokes = strokesOf(one);
    const length = lengthOf(strokes);
    return strokes.length >= 2 && length > 3 && length < 12 && !opensByDesign(strokes);
  });
  return art.filter((_, k) => k % 2 === (set === 'tune' ? 0 : 1));
}

/** Whether a line ends near another without meeting it: an opening of the art's own, up to 45 px on the paper. */
function opensByDesign(strokes: readonly (readonly Point[])[]): boolean {
  const lines = resampled(strokes, 0.004);
  return lines.some((line) =>
    [line[0]!, line.at(-1)!].some(([x, y]) =>
      lines.some((other) => {
        const nearest = Math.min(
          ...other.map(([px, py], k) => {
            // Of its own line only what lies well away along it.
            const ownPx = other === line ? Math.min(k, line.length - 1 - k) * 0.004 : Infinity;
            return ownPx < 0.08 && !closes(line) ? Infinity : Math.hypot(px - x, py - y);
          }),
        );
        return nearest > 0.004 && nearest < 0.05;
      }),
    ),
  );
}

const closes = (line: readonly Point[]): boolean =>
  Math.hypot(line[0]![0] - line.at(-1)![0], line[0]![1] - line.at(-1)![1]) < 0.004;

/** One drawing. `displaced` moves one of its lines; undefined when no line of it can be displaced and seen to be. */
export function looseDrawing(
  picture: LineArt,
  {
    seed,
    looseness,
    displaced = false,
    scale = 1,
  }: { seed: number; looseness: Looseness; displaced?: boolean; scale?: number },
): LooseDrawing | undefined {
  const random = seeded(seed);
  const across = (low: number, high: number) => low + (high - low) * random();
  const middle = [WIDTH / 2 + across(-300, 300), HEIGHT / 2 + across(-60, 60)] as const;
  const size = ART_HIGH * across(0.75, 1.1);
  const trueLines = resampled(strokesOf(picture), 3 / size).map((line) =>
    line.map(([x, y]): Point => [middle[0] + size * x, middle[1] + size * y]),
  );
  const marks: string[] = [];
  let strayPx = 0;
  const strays = (line: readonly Point[], stray: () => Point): Point[] =>
    line.map(([x, y]) => {
      const [dx, dy] = stray();
      strayPx = Math.max(strayPx, Math.hypot(dx, dy));
      return [x + dx, y + dy];
    });
  for (const line of trueLines) {
    const passes = looseness === 'tied down' ? 1 : 2 + Math.floor(3 * random());
    for (let pass = 0; pass < passes; pass++) {
      // Strokes of the length a wrist draws, one begun before the other ends.
      for (let from = 0; from < line.length - 1; ) {
        const count = Math.max(4, Math.round(across(150, 380) / 3));
        const piece = line.slice(from, from + count + 1);
        marks.push(
          path(strays(piece, strayOf(looseness, random)), PENCIL_PX * across(0.8, 1.2), across(0.55, 0.9)),
        );
        if (from + count >= line.length - 1) break;
        from += Math.round(count * across(0.75, 0.92));
      }
    }
  }
  if (looseness === 'very loose') marks.unshift(...construction(trueLines, random));
  const hand = () => wave(random, 0.4, 3);
  const cleanLines = trueLines.map((line) => {
    const [dx, dy] = [hand(), hand()];
    return line.map(([x, y], k): Point => [x + dx(3 * k), y + dy(3 * k)]);
  });
  let planted: LooseDrawing['planted'];
  if (displaced) {
    const plant = plantIn(trueLines, strayPx + BEYOND_PX, random);
    if (!plant) return undefined;
    const { at, dx, dy } = plant;
    const line = cleanLines[at]!.map(([x, y]): Point => [x + dx, y + dy]);
    cleanLines[at] = line;
    const [xs, ys] = [line.map(([x]) => x), line.map(([, y]) => y)];
    const [left, top] = [Math.min(...xs), Math.min(...ys)];
    const box = [left, top, Math.max(...xs) - left, Math.max(...ys) - top].map((v) => v * scale);
    planted = { box: box as unknown as [number, number, number, number], byPx: plant.byPx * scale };
  }
  return {
    name: `${picture.name} seed ${seed}, ${looseness}${scale === 1 ? '' : ', 4K'}`,
    clean: drawn(
      cleanLines.map((line) => path(line, CLEAN_PX, 1)),
      scale,
    ),
    rough: drawn(marks, scale),
    strayPx: strayPx * scale,
    ...(planted && { planted }),
  };
}

type Wave = (alongPx: number) => number;

/** A smooth wander of the given root mean square, wavelengths as a hand has them. */
function wave(random: () => number, rmsPx: number, terms: number): Wave {
  const parts = Array.from({ length: terms }, () => ({
    per: (2 * Math.PI) / (80 + 240 * random()),
    from: 2 * Math.PI * random(),
  }));
  const each = rmsPx * Math.sqrt(2 / terms);
  return (along) => parts.reduce((sum, { per, from }) => sum + each * Math.sin(per * along + from), 0);
}

/** How one stroke strays, asked point after point, 3 px apart. */
function strayOf(looseness: Looseness, random: () => number): () => Point {
  const most = looseness === 'very loose' ? 8 : Infinity;
  const rmsPx = { usual: 2, 'very loose': 4, 'tied down': 0.5 }[looseness];
  // Half of it lies in where the stroke was set down, half in how the hand wandered.
  const [setX, setY] = [0, 0].map(() => rmsPx * Math.sqrt(3 / 2) * (2 * random() - 1));
  const half = rmsPx * Math.SQRT1_2;
  const [dx, dy] = [wave(random, half, 2), wave(random, half, 2)];
  let k = 0;
  return () => {
    const [x, y] = [setX! + dx(3 * k), setY! + dy(3 * k)];
    k++;
    const shorten = Math.min(1, most / Math.hypot(x, y));
    return [x * shorten, y * shorten];
  };
}

/** A light oval and two axes through the drawing, as bodies are built up. */
function construction(lines: readonly (readonly Point[])[], random: () => number): string[] {
  const points = lines.flat();
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const [left, right, top, low] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const [cx, cy] = [(left + right) / 2, (top + low) / 2];
  const oval = (grow: number) =>
    Array.from({ length: 97 }, (_, k): Point => {
      const turn = (k * Math.PI) / 48;
      return [cx + grow * (right - cx) * Math.cos(turn), cy + grow * (low - cy) * Math.sin(turn)];
    });
  const tilt = 40 * (random() - 0.5);
  return [
    path(oval(0.75), PENCIL_PX, 0.3),
    path(oval(0.8), PENCIL_PX, 0.25),
    path(
      [
        [cx - tilt, top - 30],
        [cx + tilt, low + 30],
      ],
      PENCIL_PX,
      0.35,
    ),
    path(
      [
        [left - 30, cy + tilt],
        [right + 30, cy - tilt],
      ],
      PENCIL_PX,
      0.35,
    ),
  ];
}

/** A line and a shift that takes it at least `leastPx` from any true line, over a length that shows. */
function plantIn(lines: readonly (readonly Point[])[], leastPx: number, random: () => number) {
  const points = lines.flat();
  for (let attempt = 0; attempt < 24; attempt++) {
    const at = Math.floor(random() * lines.length);
    // What most of a drawing does is where it lies, not what was displaced in it.
    if (lines[at]!.length > 0.4 * points.length) continue;
    const turn = 2 * Math.PI * random();
    const byPx = leastPx + 0.5 + (attempt / 24) * 8;
    const [dx, dy] = [byPx * Math.cos(turn), byPx * Math.sin(turn)];
    let [run, longest] = [0, 0];
    for (const [x, y] of lines[at]!) {
      const clear = points.every(([px, py]) => Math.hypot(px - x - dx, py - y - dy) >= leastPx);
      run = clear ? run + 3 : 0;
      longest = Math.max(longest, run);
    }
    if (longest >= SHOWN_PX) return { at, dx, dy, byPx };
  }
  return undefined;
}

function path(points: readonly Point[], widthPx: number, dark: number): string {
  const d = points.map(([x, y]) => `${x.toFixed(2)} ${y.toFixed(2)}`).join('L');
  return `<path d="M${d}" stroke-width="${widthPx.toFixed(2)}" stroke-opacity="${dark.toFixed(2)}"/>`;
}

function drawn(marks: readonly string[], scale: number): Picture {
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH * scale}" height="${HEIGHT * scale}" viewBox="0 0 ${WIDTH} ${HEIGHT}"><g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round">${marks.join('')}</g></svg>`;
  const { width, height, pixels } = new Resvg(svg, {
    background: 'white',
    font: { loadSystemFonts: false },
  }).render();
  return { width, height, channels: 4, data: new Uint8Array(pixels) };
}
