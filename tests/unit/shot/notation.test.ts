import { describe, expect, it } from 'vitest';
import { notationOf } from '../../../src/shot/notation.ts';
import { drawing } from './make.ts';

/** Circle, underline, plain, triangle on thirds: common practice, no source. */
describe('notation', () => {
  it('circles keys and underlines breakdowns', () => {
    expect(notationOf(drawing('1', 'key'))).toEqual({ mark: 'circle', triangle: false, words: 'key' });
    const breakdown = drawing('5', 'breakdown', { from: '1', to: '9', fraction: 0.25 });
    expect(notationOf(breakdown)).toMatchObject({ mark: 'underline', triangle: false });
  });

  it('puts a triangle round an in-between on a third, and names the side', () => {
    const third = (fraction: number) =>
      notationOf(drawing('3', 'inbetween', { from: '1', to: '5', fraction }));
    expect(third(1 / 3)).toEqual({
      mark: 'plain',
      triangle: true,
      favours: '1',
      words: 'in-between, nearer to 1',
    });
    expect(third(2 / 3)).toMatchObject({ triangle: true, favours: '5' });
    expect(third(0.5)).toEqual({ mark: 'plain', triangle: false, words: 'in-between' });
  });

  it('leaves a drawing without role plain and wordless', () => {
    expect(notationOf(drawing('2'))).toEqual({ mark: 'plain', triangle: false, words: '' });
  });
});
