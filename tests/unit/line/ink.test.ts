import { describe, expect, test } from 'vitest';
import { inkOf } from '../../../src/line/ink.ts';
import type { Picture } from '../../../src/line/picture.ts';
import { Workspace } from '../../../src/line/workspace.ts';
import { seeded } from '../../support/line-masks.ts';

type Colour = readonly [r: number, g: number, b: number, a?: number];

/** Paper of one colour with vertical lines, each a number of columns of a colour. */
function lined(paper: Colour, lines: readonly { x: number; columns: number; colour: Colour }[]): Picture {
  const [width, height] = [90, 70];
  const data = new Uint8Array(4 * width * height);
  for (let i = 0; i < width * height; i++) {
    const x = i % width;
    const line = lines.find((one) => x >= one.x && x < one.x + one.columns);
    const [r, g, b, a = 255] = line?.colour ?? paper;
    data.set([r, g, b, a], 4 * i);
  }
  return { width, height, channels: 4, data };
}

const WHITE: Colour = [255, 255, 255];
const BLACK: Colour = [0, 0, 0];
const at = (ink: { coverage: Uint8Array }, x: number) => ink.coverage[35 * 90 + x];

describe('white and transparent paper', () => {
  test('black is line, white is paper, and a pixel half covered is half ink', () => {
    const ink = inkOf(
      lined(WHITE, [
        { x: 20, columns: 4, colour: BLACK },
        { x: 24, columns: 1, colour: [128, 128, 128] },
      ]),
    );
    expect([at(ink, 10), at(ink, 20), at(ink, 24), ink.paper.kind]).toEqual([0, 255, 127, 'white']);
  });

  test('on transparent paper alpha counts as source-over on white has it (W3C Compositing)', () => {
    // Black at α = 102/255 over white shows as 153: a departure of 102.
    const lines = [
      { x: 20, columns: 4, colour: [0, 0, 0, 255] },
      { x: 40, columns: 2, colour: [0, 0, 0, 102] },
    ] as const;
    const ink = inkOf(lined([0, 0, 0, 0], lines));
    expect([at(ink, 10), at(ink, 21), at(ink, 40), ink.paper.kind]).toEqual([0, 255, 102, 'transparent']);
  });

  test('white painted on transparent paper is paper', () => {
    const ink = inkOf(
      lined(
        [0, 0, 0, 0],
        [
          { x: 20, columns: 30, colour: WHITE },
          { x: 60, columns: 3, colour: BLACK },
        ],
      ),
    );
    expect([at(ink, 30), at(ink, 61)]).toEqual([0, 255]);
  });

  test.each([
    ['red', [255, 0, 0]],
    ['pale blue', [180, 205, 255]],
    ['yellow', [255, 240, 40]],
  ] as const)('a %s line is as much line as a black one beside it', (_, colour) => {
    const ink = inkOf(
      lined(WHITE, [
        { x: 20, columns: 4, colour: BLACK },
        { x: 50, columns: 4, colour },
      ]),
    );
    expect([at(ink, 21), at(ink, 51)]).toEqual([255, 255]);
  });

  test('one channel and four say the same', () => {
    const four = lined(WHITE, [
      { x: 20, columns: 3, colour: BLACK },
      { x: 23, columns: 1, colour: [90, 90, 90] },
    ]);
    const one: Picture = { ...four, channels: 1, data: four.data.filter((__, i) => i % 4 === 0) };
    expect(inkOf(one).coverage).toEqual(inkOf(four).coverage);
  });

  test('bytes that do not start on a word are read alike', () => {
    const picture = lined(WHITE, [{ x: 20, columns: 3, colour: BLACK }]);
    const shifted = new Uint8Array(picture.data.length + 1);
    shifted.set(picture.data, 1);
    expect(inkOf({ ...picture, data: shifted.subarray(1) }).coverage).toEqual(inkOf(picture).coverage);
  });

  test('a blank drawing, white or transparent, holds no ink', () => {
    for (const paper of [WHITE, [0, 0, 0, 0]] as const) {
      expect(Math.max(...inkOf(lined(paper, [])).coverage)).toBe(0);
    }
  });
});

describe('scans', () => {
  /** Grey paper with grain of `grain` levels, lit from the left; a soft pencil line 10 columns wide. */
  function scan(grain: number, fallOff: number): Picture {
    const random = seeded(71);
    const [width, height] = [640, 400];
    const data = new Uint8Array(width * height);
    for (let i = 0; i < data.length; i++) {
      const x = i % width;
      // The sum of three uniform numbers is near enough to a normal one; its deviation is half its unit.
      const noise = 2 * grain * (random() + random() + random() - 1.5);
      const pencil = Math.abs(x - 300) < 5 ? 120 : 0;
      data[i] = Math.max(0, Math.min(255, 205 - (fallOff * x) / width - pencil + noise));
    }
    return { width, height, channels: 1, data };
  }

  test.each([
    ['even light', 3, 0],
    ['light that falls off by 50 levels', 3, 50],
  ])('%s: bare paper holds no line, the pencil is line from edge to edge', (_, grain, fallOff) => {
    const { coverage, paper } = inkOf(scan(grain, fallOff));
    expect(paper.kind).toBe('scan');
    const columns = (from: number, to: number) =>
      Array.from(coverage).filter((__, i) => i % 640 >= from && i % 640 < to);
    const bare = [...columns(0, 290), ...columns(310, 640)];
    expect(bare.filter((a) => a >= 102).length / bare.length).toBeLessThan(1e-4);
    const pencil = columns(297, 304);
    expect(pencil.filter((a) => a >= 102)).toHaveLength(pencil.length);
  });
});

test('data of the wrong length is refused with the lengths', () => {
  const broken: Picture = { width: 4, height: 3, channels: 4, data: new Uint8Array(47) };
  expect(() => inkOf(broken)).toThrow(
    new RangeError('A 4 × 3 drawing of 4 channels takes 48 bytes, not 47.'),
  );
});

test('what is given back to the workspace is used again, and nothing of the last drawing stays in it', () => {
  const workspace = new Workspace();
  const first = inkOf(lined(WHITE, [{ x: 20, columns: 40, colour: BLACK }]), workspace);
  workspace.release(first.coverage);
  const second = inkOf(lined(WHITE, []), workspace);
  expect(second.coverage).toBe(first.coverage);
  expect(Math.max(...second.coverage)).toBe(0);
});
