import { readdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { Resvg } from '@resvg/resvg-js';
import { describe, expect, test } from 'vitest';
import { inkOf } from '../../src/line/ink.ts';
import type { Box } from '../../src/line/picture.ts';
import { type Redrawn, redrawnAt, takeChange } from '../../src/line/redrawn.ts';

/**
 * Takes made by known edits of published line art (lucide-static, ISC: 24-unit grid, strokes of 2 units):
 * sixteen icons make one drawing of 1920 × 1080 with lines 5 px wide. What was edited, and where, is known.
 */
const folder = join(dirname(createRequire(import.meta.url).resolve('lucide-static/package.json')), 'icons');
const icons = readdirSync(folder)
  .filter((name) => name.endsWith('.svg'))
  .sort();

/** A small seeded generator (mulberry32), so that every run makes the same takes. */
function randomFrom(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

interface Placed {
  readonly inner: string;
  readonly x: number;
  readonly y: number;
  readonly strokeUnits: number;
}

const scale = 8;
const unitsOf = (widthPx: number): number => widthPx / scale;

function drawingOf(random: () => number): Placed[] {
  return Array.from({ length: 15 }, (_, i) => {
    const name = icons[Math.floor(random() * icons.length)] ?? '';
    const inner = readFileSync(join(folder, name), 'utf8').replace(/^[\s\S]*?<svg[^>]*>|<\/svg>\s*$/g, '');
    return { inner, x: 100 + (i % 5) * 350, y: 60 + Math.floor(i / 5) * 340, strokeUnits: unitsOf(5) };
  });
}

function render(parts: readonly Placed[], options: { width?: number; shift?: [number, number] } = {}) {
  const [dx, dy] = options.shift ?? [0, 0];
  const body = parts
    .map(
      ({ inner, x, y, strokeUnits }) =>
        `<g transform="translate(${x + dx} ${y + dy}) scale(${scale})" fill="none" stroke="#000" stroke-width="${strokeUnits}" stroke-linecap="round" stroke-linejoin="round">${inner}</g>`,
    )
    .join('');
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="1920" height="1080" viewBox="0 0 1920 1080"><rect width="1920" height="1080" fill="#fff"/>${body}</svg>`;
  const image = new Resvg(
    svg,
    options.width ? { fitTo: { mode: 'width', value: options.width } } : {},
  ).render();
  return inkOf({ width: image.width, height: image.height, channels: 4, data: new Uint8Array(image.pixels) });
}

const boxOf = ({ x, y }: Placed): Box => [x, y, 24 * scale, 24 * scale];

/** Edits a clean-up artist makes at a place: heavier, thinner, moved, another drawing, gone. */
const edits: ((part: Placed, other: Placed) => Placed)[] = [
  (part) => ({ ...part, strokeUnits: unitsOf(6.25) }),
  (part) => ({ ...part, strokeUnits: unitsOf(4) }),
  (part) => ({ ...part, x: part.x + 2 }),
  (part) => ({ ...part, y: part.y - 4 }),
  (part, other) => ({ ...part, inner: other.inner }),
  (part) => ({ ...part, inner: '' }),
];

/** How the new take reached us: as it is, shifted by 3 px, at other resolutions. */
const exports: Parameters<typeof render>[1][] = [
  {},
  { shift: [3, 0] },
  { shift: [-2, 3] },
  { width: 2880 },
  { width: 1440 },
];

describe('redrawn or not', () => {
  test('at least 99 % right on takes made by known edits', () => {
    const wrong: string[] = [];
    let asked = 0;
    const ask = (said: Redrawn, expected: Redrawn, what: string): void => {
      asked++;
      if (said !== expected) wrong.push(`${what}: ${said}, not ${expected}`);
    };
    for (let seed = 1; seed <= 3; seed++) {
      const random = randomFrom(seed);
      const parts = drawingOf(random);
      const before = render(parts);
      for (const [e, how] of exports.entries()) {
        const same = takeChange(before, render(parts, how));
        for (const [i, part] of parts.entries())
          ask(
            redrawnAt(same, boxOf(part)),
            'not redrawn since',
            `seed ${seed} export ${e} part ${i} unedited`,
          );
        const at = Math.floor(random() * parts.length);
        const edit = Math.floor(random() * edits.length);
        const edited = parts.map((part, i) =>
          i === at ? (edits[edit]?.(part, parts[(at + 1) % parts.length] ?? part) ?? part) : part,
        );
        const change = takeChange(before, render(edited, how));
        for (const [i, part] of parts.entries()) {
          const expected = i === at ? 'redrawn here' : 'redrawn elsewhere';
          ask(
            redrawnAt(change, boxOf(part)),
            expected,
            `seed ${seed} export ${e} part ${i} edit ${edit} at ${at}`,
          );
        }
      }
    }
    expect(asked).toBe(3 * 5 * 30);
    expect(wrong.length / asked, wrong.join('\n')).toBeLessThanOrEqual(0.01);
  }, 300_000);

  test('equal pixels are no retake, whatever the place', () => {
    const ink = render(drawingOf(randomFrom(99)));
    expect(redrawnAt(takeChange(ink, ink), [0, 0, 1920, 1080])).toBe('not redrawn since');
  });

  test('a blank take is redrawn where there was a line, and only there', () => {
    const parts = drawingOf(randomFrom(5));
    const change = takeChange(render(parts), render([]));
    expect(redrawnAt(change, boxOf(parts[0] as Placed))).toBe('redrawn here');
    expect(redrawnAt(change, [0, 1060, 10, 10])).toBe('redrawn elsewhere');
    expect(redrawnAt(takeChange(render([]), render([])), [0, 0, 99, 99])).toBe('not redrawn since');
  });
});
