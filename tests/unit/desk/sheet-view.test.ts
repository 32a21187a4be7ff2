import { expect, it } from 'vitest';
import { act, firstModel, playedFrames } from '../../../src/desk/model.ts';
import { frameAt } from '../../../src/desk/motion.ts';
import { sheetSizes } from '../../../src/desk/sheet-view.ts';
import { stripIsOver } from '../../../src/desk/strip-over.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { figure } from './a-shot.ts';

const onSheet = (...lengths: readonly number[]) => ({
  ...figure,
  exposures: lengths.map((length, n) => ({ drawing: '1', frame: 1 + 10 * n, length })),
});

// 44 CSS px: WCAG 2.2, success criterion 2.5.5.
it('each drawing’s rows on the sheet are high enough for a thumb, on ones as on twos, at every text size', () => {
  for (const scale of [0.8, 1, 1.5, 2])
    for (const lengths of [[1], [2, 2], [3, 1, 2], [8]]) {
      const { rowPx } = sheetSizes([onSheet(...lengths)], scale);
      expect(Math.min(...lengths) * rowPx).toBeGreaterThanOrEqual(44);
    }
});

const shot: Shot = { id: 's', title: 'S', fps: 24, sizePx: [1920, 1080], levels: [figure] };

it('settings are over with what they set', () => {
  const model = firstModel(shot);
  expect(stripIsOver('underlay', model)).toBe(true);
  expect(stripIsOver('underlay', { ...model, way: 'underlay' })).toBe(false);
  expect(stripIsOver('neighbours', model)).toBe(true);
  expect(stripIsOver('neighbours', { ...model, after: 1 })).toBe(false);
  expect(stripIsOver('paper', model)).toBe(false);
});

it('a part of the shot plays round and round; all of it is no part', () => {
  const model = act(shot, firstModel(shot), { do: 'part', part: { from: 4, to: 2 } });
  expect(playedFrames(shot, model)).toEqual({ from: 2, to: 4 });
  // By hand: frames 3 4 2 3 at one a second, begun on 3; from outside it begins with the first.
  expect([0, 1, 2, 3].map((second) => frameAt(1000 * second, 1, 3, 4, true, 2))).toEqual([3, 4, 2, 3]);
  expect(frameAt(0, 1, 9, 4, true, 2)).toBe(2);
  expect(frameAt(2000, 1, 3, 4, false, 2)).toBeUndefined();
  expect(act(shot, model, { do: 'part', part: { from: 1, to: 9999 } }).part).toBeUndefined();
});
