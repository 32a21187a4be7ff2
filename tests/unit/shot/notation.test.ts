import { describe, expect, it } from 'vitest';
import { notationOf } from '../../../src/shot/notation.ts';
import { drawing } from './make.ts';

/** Circle, underline, plain, triangle on thirds: common practice, no source. */
describe('notation', () => {
  it('circles keys and underlines breakdowns', () => {
    expect(notationOf(drawing('1', 'key'))).toEqual({
      mark: 'circle',
      triangle: false,
      runsOn: false,
      role: 'key',
      beside: [],
      words: 'key',
    });
    const breakdown = drawing('5', 'breakdown', { from: '1', to: '9', fraction: 0.25 });
    expect(notationOf(breakdown)).toMatchObject({ mark: 'underline', triangle: false });
  });

  it('puts a triangle round an in-between on a third, and names the side', () => {
    const third = (fraction: number) =>
      notationOf(drawing('3', 'inbetween', { from: '1', to: '5', fraction }));
    expect(third(1 / 3)).toEqual({
      mark: 'plain',
      triangle: true,
      runsOn: false,
      favours: '1',
      role: 'in-between',
      beside: [],
      words: 'in-between, nearer to 1',
    });
    expect(third(2 / 3)).toMatchObject({ triangle: true, favours: '5' });
    expect(third(0.5)).toMatchObject({ mark: 'plain', triangle: false, words: 'in-between' });
  });

  it('puts a triangle and a line of words beside one on the half with a sleeve on the third', () => {
    const box = [10, 20, 30, 40] as const;
    const chart = {
      from: '1',
      to: '5',
      fraction: 0.5,
      parts: [
        { place: { box }, words: 'sleeve ', fraction: 1 / 3 },
        { place: { box }, words: 'cuff, left', fraction: 0.42 },
      ],
    };
    const { triangle, favours, beside, words } = notationOf(drawing('3', 'inbetween', chart));
    expect({ triangle, favours }).toEqual({ triangle: true, favours: undefined });
    expect(beside).toEqual(['sleeve at a third', 'cuff, left at 0.42']);
    expect(words).toBe('in-between, sleeve at a third, cuff, left at 0.42');
    // Of a breakdown the chart says what it hangs on, no more.
    expect(notationOf(drawing('3', 'breakdown', chart))).toMatchObject({
      triangle: false,
      words: 'breakdown',
    });
  });

  it('puts an arc beneath what runs on, which no chart of the body holds', () => {
    const chart = { from: '1', to: '5', fraction: 1 / 3 };
    expect(notationOf({ ...drawing('7', 'inbetween', chart), runsOn: true })).toMatchObject({
      runsOn: true,
      triangle: false,
      words: 'in-between, runs on after the pose',
    });
    expect(notationOf({ ...drawing('7'), runsOn: true }).words).toBe('runs on after the pose');
  });

  it('leaves a drawing without role plain and wordless', () => {
    expect(notationOf(drawing('2'))).toMatchObject({
      mark: 'plain',
      triangle: false,
      runsOn: false,
      words: '',
    });
  });
});
