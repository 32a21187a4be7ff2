/**
 * Drawings rendered by librsvg (through sharp) from SVG whose colours, edges and places are written down here, so what
 * must be found is known from the drawing, not from the program.
 */
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { lineFaults } from '../../../src/line/house/line-faults.ts';
import type { LineRules, Rgb } from '../../../src/line/house/rules.ts';
import type { Picture } from '../../../src/line/picture.ts';

const size = { width: 300, height: 200 };
const white = '<rect width="300" height="200" fill="#fff"/>';
const black: Rgb = [0, 0, 0];
const red: Rgb = [200, 30, 30];
const rules = (some: Partial<LineRules>): LineRules => ({
  edges: 'either',
  paper: 'either',
  colours: [],
  withinLevels: 4,
  ...some,
});

async function drawn(shapes: string, paper = white, crisp = false): Promise<Picture> {
  const render = crisp ? ' shape-rendering="crispEdges"' : '';
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="300" height="200"${render}>${paper}${shapes}</svg>`;
  const { data } = await sharp(Buffer.from(svg)).ensureAlpha().raw().toBuffer({ resolveWithObject: true });
  return { ...size, channels: 4, data: new Uint8Array(data) };
}
const ring = (colour: string, x = 90, strokePx = 4) =>
  `<circle cx="${x}.3" cy="100.6" r="60" fill="none" stroke="${colour}" stroke-width="${strokePx}"/>`;
const kindsOf = (picture: Picture, some: Partial<LineRules>) => [
  ...new Set(lineFaults(picture, rules(some)).map(({ kind }) => kind)),
];

describe('paper', () => {
  it('white, transparent, and another paper are told apart', async () => {
    const onWhite = await drawn(ring('#000'));
    const clear = await drawn(ring('#000'), '');
    const cream = await drawn(ring('#000'), '<rect width="300" height="200" fill="#f4efe0"/>');
    expect(kindsOf(onWhite, { paper: 'white' })).toEqual([]);
    expect(kindsOf(clear, { paper: 'transparent' })).toEqual([]);
    expect(kindsOf(onWhite, { paper: 'transparent' })).toEqual(['paper']);
    expect(kindsOf(clear, { paper: 'white' })).toEqual(['paper']);
    const [fault] = lineFaults(cream, rules({ paper: 'white' }));
    expect(fault).toMatchObject({ kind: 'paper', colour: [0xf4, 0xef, 0xe0], box: [0, 0, 300, 200] });
  });
  it('a patch of white in a transparent drawing is found where it lies', async () => {
    const patched = await drawn(
      `${ring('#000')}<rect x="200" y="40" width="30" height="20" fill="#fff"/>`,
      '',
    );
    expect(lineFaults(patched, rules({ paper: 'transparent' }))).toEqual([
      { kind: 'paper', box: [200, 40, 30, 20], countPx: 600 },
    ]);
  });
});

describe('edges', () => {
  it('a binary line keeps the rule of hard edges, and breaks that of soft ones; an anti-aliased one the other way', async () => {
    for (const paper of [white, '']) {
      const hard = await drawn(ring('#000'), paper, true);
      const soft = await drawn(ring('#000'), paper);
      for (const colours of [[], [black]]) {
        expect(kindsOf(hard, { edges: 'hard', colours })).toEqual([]);
        expect(kindsOf(hard, { edges: 'soft', colours })).toEqual(['hard']);
        expect(kindsOf(soft, { edges: 'soft', colours })).toEqual([]);
        expect(kindsOf(soft, { edges: 'hard', colours })).toEqual(['soft']);
      }
    }
  });
  it('one soft pixel in a binary line is found, at its place', async () => {
    const hard = await drawn(ring('#000'), white, true);
    hard.data.set([120, 120, 120, 255], 4 * (57 * 300 + 211));
    expect(lineFaults(hard, rules({ edges: 'hard', colours: [black] }))).toEqual([
      { kind: 'soft', box: [211, 57, 1, 1], countPx: 1 },
    ]);
  });
});

describe('colours', () => {
  it('black and red lines that cross, mixed by anti-aliasing on both papers, keep the rules', async () => {
    for (const paper of [white, '']) {
      const both = await drawn(ring('#000') + ring('rgb(200,30,30)', 150), paper);
      expect(lineFaults(both, rules({ edges: 'soft', colours: [black, red] }))).toEqual([]);
    }
  });
  it('a stray colour is found where it lies, and told', async () => {
    const picture = await drawn(
      `${ring('#000')}<rect x="220" y="30" width="40" height="6" fill="rgb(30,60,220)"/>`,
    );
    expect(lineFaults(picture, rules({ colours: [black, red] }))).toEqual([
      { kind: 'stray', box: [220, 30, 40, 6], countPx: 240, colour: [30, 60, 220] },
    ]);
  });
  it('a colour off by less than the house allows is none, by more it is one', async () => {
    const off = await drawn('<rect x="60" y="60" width="80" height="6" fill="rgb(210,36,24)"/>');
    expect(kindsOf(off, { colours: [red], withinLevels: 10 })).toEqual([]);
    expect(kindsOf(off, { colours: [red], withinLevels: 4 })).toEqual(['stray']);
  });
  it('a grey line where only black is allowed is pale; a black line that thins to nothing is not', async () => {
    const grey = await drawn(`${ring('#000')}<rect x="180" y="150" width="90" height="4" fill="#909090"/>`);
    const [fault, ...more] = lineFaults(grey, rules({ colours: [black] }));
    expect(more).toEqual([]);
    expect(fault).toMatchObject({ kind: 'pale', countPx: 360 });
    expect(fault?.box).toEqual([180, 150, 90, 4]);
    const tapered = await drawn(`<path d="M20 90 Q150 20 280 96 Q150 28 20 94z" fill="#000"/>`);
    expect(lineFaults(tapered, rules({ colours: [black], edges: 'soft' }))).toEqual([]);
  });
  it('edges mixed in linear light are edges too', async () => {
    // Half red, half white in linear light (IEC 61966-2-1): green and blue of 30 are 0.01298, half-way 0.50649: 188.
    const picture = await drawn('<rect x="60" y="60" width="80" height="6" fill="rgb(200,30,30)"/>');
    for (let x = 60; x < 140; x++) picture.data.set([230, 188, 188, 255], 4 * (59 * 300 + x));
    expect(lineFaults(picture, rules({ colours: [red] }))).toEqual([]);
  });
});

it('a scan is said to be one: its grain is no colour of anybody', async () => {
  const picture = await drawn(ring('#000'));
  // A linear congruential generator (Numerical Recipes), so that the grain is the same at every run.
  let state = 7;
  for (let i = 0; i < picture.data.length; i++) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    if (i % 4 < 3) picture.data[i] = Math.max(0, picture.data[i]! - Math.floor((state / 2 ** 32) * 9));
  }
  expect(kindsOf(picture, { colours: [black] })).toEqual(['grain']);
});

it('one channel, an empty drawing and a single pixel are judged too', () => {
  const grey = (width: number, height: number, data: number[]): Picture => ({
    width,
    height,
    channels: 1,
    data: Uint8Array.from(data),
  });
  const every: Partial<LineRules> = { edges: 'hard', paper: 'white', colours: [black] };
  expect(lineFaults(grey(3, 2, [255, 255, 255, 255, 0, 255]), rules(every))).toEqual([]);
  expect(lineFaults(grey(3, 2, [255, 255, 255, 255, 90, 255]), rules(every))).toEqual([
    { kind: 'soft', box: [1, 1, 1, 1], countPx: 1 },
  ]);
  expect(lineFaults(grey(1, 1, [255]), rules(every))).toEqual([]);
  expect(lineFaults(grey(3, 2, Array(6).fill(255)), rules(every))).toEqual([]);
});
