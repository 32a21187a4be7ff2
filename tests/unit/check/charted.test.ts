/** A chart's parts over patches laid by hand: a body of 12 at ½ about (200, 300), a sleeve of 8 about (600, 100). Hand arithmetic. */
import { describe, expect, it } from 'vitest';
import { againstExtremes } from '../../../src/check/against-extremes.ts';
import { charted } from '../../../src/check/charted.ts';
import { findBetween } from '../../../src/check/find-between.ts';
import { jobsOf, type Results } from '../../../src/check/jobs.ts';
import type { Measured } from '../../../src/check/measured.ts';
import { defaultTolerances } from '../../../src/check/tolerances.ts';
import type { Spacing, SpacingPatch, SpacingRefused } from '../../../src/line/spacing.ts';
import type { Chart, ChartPart, Drawing } from '../../../src/shot/model.ts';
import { drawing, imageRef, level, shotOf } from '../shot/make.ts';

const SIZE: [number, number] = [2048, 1152];

const patchesAt = (many: number, [x, y]: [number, number], fraction: number, part: number): SpacingPatch[] =>
  Array.from({ length: many }, (_, k) => ({
    xPx: x + 10 * k,
    yPx: y,
    // A hundredth to either side: no two hands are alike.
    fraction: fraction + 0.01 * ((k % 3) - 1),
    error: 0.01,
    movePx: 150,
    offPathPx: 1,
    weight: 40,
    lengthPx: 30,
    part,
  }));

const spacing = (body: number, sleeve: number): Spacing => ({
  measured: body,
  error: 0.01,
  offPathPx: 1,
  movePx: 150,
  mostError: 0.04,
  patches: [...patchesAt(12, [200, 300], body, 0), ...patchesAt(8, [600, 100], sleeve, 1)],
  parts: [
    { bbox: [190, 290, 140, 20], measured: body, error: 0.01, movePx: 150, lengthPx: 360 },
    { bbox: [590, 90, 90, 20], measured: sleeve, error: 0.01, movePx: 150, lengthPx: 240 },
  ],
});

const sleeve: ChartPart = { place: { box: [560, 60, 160, 80] }, words: 'sleeve', fraction: 1 / 3 };
const chart = (parts: ChartPart[], fraction = 0.5): Chart => ({ from: '1', to: '5', fraction, parts });

function told(whole: Spacing | SpacingRefused, by: Chart, more: Partial<Drawing> = {}): string[] {
  const { spacing: rest, parts } = charted(whole, by, SIZE);
  const one: Measured = {
    drawing: { label: '3', role: 'inbetween', chart: by, takes: [], ...more },
    measures: {
      sizePx: SIZE,
      samples: { x: new Float32Array(300), y: new Float32Array(300), stepPx: 2 },
    } as unknown as Results['drawing'],
    spacing: rest,
    chartParts: parts,
    boil: undefined,
    failed: undefined,
  };
  return findBetween(level([]), one, [], defaultTolerances).map(({ message }) => message);
}

describe('a chart with parts', () => {
  it('gives no finding where each lies as it says, whatever shape its place has', () => {
    expect(told(spacing(0.5, 1 / 3), chart([]))).toHaveLength(1);
    expect(told(spacing(0.5, 1 / 3), chart([sleeve]))).toEqual([]);
    const outline = [
      [560, 60],
      [720, 60],
      [720, 140],
      [560, 140],
    ] as const;
    expect(told(spacing(0.5, 1 / 3), chart([{ ...sleeve, place: { outline } }]))).toEqual([]);
    // Drawn round on a picture of half the size.
    const half = { box: [280, 30, 80, 40] as const, sizePx: [1024, 576] as const };
    expect(told(spacing(0.5, 1 / 3), chart([{ ...sleeve, place: half }]))).toEqual([]);
  });

  it('names the part that is off, also where it lies with the body', () => {
    expect(told(spacing(0.5, 0.66), chart([sleeve]))).toEqual([
      'sleeve at 0.66 between 1 and 5, chart says a third for it',
    ]);
    expect(told(spacing(0.5, 0.5), chart([sleeve]))).toEqual([
      'sleeve at 0.50 between 1 and 5, chart says a third for it',
    ]);
  });

  it('holds the body to the chart without the part', () => {
    expect(told(spacing(0.7, 1 / 3), chart([sleeve]))).toEqual([
      'at 0.70 between 1 and 5, chart says a half',
    ]);
    const twoHalves: SpacingRefused = {
      ...spacing(0.7, 1 / 3),
      refused: 'about half of it lies at 0.70 and about half at 0.33, so it has no one place',
    };
    expect(told(twoHalves, chart([sleeve]))).toEqual(['at 0.70 between 1 and 5, chart says a half']);
    expect(told(twoHalves, chart([]))).toEqual([]);
  });

  it('takes a cuff in a sleeve for the cuff', () => {
    const cuffed: Spacing = {
      ...spacing(0.5, 1 / 3),
      patches: [...spacing(0.5, 1 / 3).patches, ...patchesAt(5, [690, 120], 0.75, 1)],
    };
    const cuff = { place: { box: [680, 110, 60, 20] as const }, words: 'cuff', fraction: 0.75 };
    const wide = { ...sleeve, place: { box: [560, 60, 200, 80] as const } };
    expect(told(cuffed, chart([wide, cuff]))).toEqual([]);
    expect(told(cuffed, chart([cuff, wide]))).toEqual([]);
    expect(told(cuffed, chart([wide, { ...cuff, fraction: 0.3 }]))).toEqual([
      'cuff at 0.75 between 1 and 5, chart says 0.30 for it',
    ]);
  });

  it('says nothing of a place where nothing was found again', () => {
    const elsewhere = { ...sleeve, place: { box: [1500, 900, 50, 50] as const } };
    expect(charted(spacing(0.5, 0.5), chart([elsewhere]), SIZE).parts).toMatchObject([
      { found: { refused: 'nothing that moves was found again at its place' } },
    ]);
    const blank = { refused: 'the first drawing is blank' };
    expect(charted(blank, chart([sleeve]), SIZE)).toMatchObject({
      spacing: blank,
      parts: [{ found: blank }],
    });
  });
});

describe('what runs on after the pose', () => {
  const on = { ...drawing('3', 'inbetween', chart([sleeve])), runsOn: true };
  it('has no place of a chart to keep, and none is measured', () => {
    expect(told(spacing(0.9, 0.9), chart([sleeve]))).not.toEqual([]);
    expect(told(spacing(0.9, 0.9), chart([sleeve]), { runsOn: true })).toEqual([]);
    const clean = (one: Drawing, n: number) => ({ ...one, takes: [{ number: 1, image: imageRef(n) }] });
    const kinds = (three: Drawing) =>
      jobsOf(shotOf([level([drawing('1', 'key'), three, drawing('5', 'key')].map(clean))]), 24).map(
        ({ kind }) => kind,
      );
    expect(kinds(on)).not.toContain('spacing');
    expect(kinds({ ...on, runsOn: false })).toContain('spacing');
    expect(againstExtremes({ drawing: on } as Measured, [])).toEqual({
      refused: 'it runs on after the pose, held to no chart',
    });
  });
});
