/**
 * Openings that are none, against geometry drawn by resvg: a fold that thins out short of the outline, over roughs that
 * end there, go on, or are crossed by construction. Truth is what was drawn. That a lifted pen marks a line's end is
 * common practice, no source.
 */
import { Resvg } from '@resvg/resvg-js';
import { describe, expect, it } from 'vitest';
import { meantOpen } from '../../src/line/in-rough.ts';
import { measureDrawing } from '../../src/line/measure-drawing.ts';
import type { Picture } from '../../src/line/picture.ts';
import { isRefused } from '../../src/line/refused.ts';

const [WIDTH, HEIGHT] = [520, 400];

function drawn(marks: string): Picture {
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}" height="${HEIGHT}"><rect width="${WIDTH}" height="${HEIGHT}" fill="#fff"/><g fill="none" stroke-linecap="round" stroke-width="5">${marks}</g></svg>`;
  return { width: WIDTH, height: HEIGHT, channels: 4, data: new Uint8Array(new Resvg(svg).render().pixels) };
}

const BODY = '<rect x="60" y="50" width="400" height="300" stroke="#000"/>';
/** From the left side across, `gapPx` of paper short of the right one, whose inner edge lies at 457.5. */
const cut = (gapPx: number) => `<path d="M60 220H${457.5 - gapPx - 2.5}" stroke="#000"/>`;
/** The same, thinning out to a point over its last 40 px. */
const thinning = (gapPx: number) => {
  const tip = 457.5 - gapPx;
  return `<path d="M60 220H${tip - 40}" stroke="#000"/><path d="M${tip - 42} 217.5L${tip} 219.6v.8L${tip - 42} 222.5z" fill="#000"/>`;
};
/** Pencil, some 80 % dark, in strokes that stray by a px. */
const pencil = (d: string) =>
  `<path d="${d}" stroke="#333"/><path d="${d}" stroke="#333" transform="translate(1 -1)"/>`;
const ROUGH_BODY = pencil('M60 50H460V350H60Z');
const closing = pencil('M60 220H460');
const ending = (gapPx: number) => pencil(`M60 220H${457 - gapPx}`);
const construction = '<path d="M300 216L500 224" stroke="#fbe9e4" stroke-width="7"/>';

function told(clean: string, rough?: string): number {
  const { leaks } = measureDrawing(
    drawn(BODY + clean),
    rough === undefined ? undefined : drawn(ROUGH_BODY + rough),
  );
  if (isRefused(leaks)) throw new Error(leaks.refused);
  expect(leaks.length).toBeLessThan(2);
  return leaks.filter((leak) => !meantOpen(leak)).length;
}

describe('an opening', () => {
  it.each([4, 9, 17])('of %i px where a line was cut is told, and none where the rough ends too', (gapPx) => {
    expect(told(cut(gapPx)), 'without a rough').toBe(1);
    expect(told(cut(gapPx), closing), 'the rough goes on').toBe(1);
    if (gapPx > 6) expect(told(cut(gapPx), ending(gapPx)), 'the rough ends there').toBe(0);
  });

  it.each([9, 17])('of %i px before a line that thins out is told only where the rough goes on', (gapPx) => {
    expect(told(thinning(gapPx)), 'without a rough').toBe(0);
    expect(told(thinning(gapPx), ending(gapPx)), 'the rough ends there').toBe(0);
    expect(told(thinning(gapPx), closing), 'the rough goes on').toBe(1);
  });

  it.each([9, 17])(
    'of %i px is not closed by construction in a fainter pencil, nor by strokes across it',
    (gapPx) => {
      expect(told(cut(gapPx), construction + ending(gapPx)), 'construction').toBe(0);
      const across = [0.25, 0.6].map((share) => pencil(`M${457.5 - share * gapPx} 150V290`)).join('');
      expect(told(thinning(gapPx), ending(gapPx) + across), 'strokes across').toBe(0);
    },
  );
});
