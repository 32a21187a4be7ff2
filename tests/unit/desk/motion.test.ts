import { describe, expect, it } from 'vitest';
import { type Act, act, type DeskModel, firstModel } from '../../../src/desk/model.ts';
import { frameAt, modelInMotion, modelsOfMotion, toAndFro } from '../../../src/desk/motion.ts';
import { shot } from './a-shot.ts';

const after = (...acts: readonly Act[]): DeskModel =>
  acts.reduce((model, what) => act(shot, model, what), firstModel(shot));

describe('the frame of a moment', () => {
  it('is reached after its share of a second: 24 frames a second', () => {
    // Hand arithmetic: frame n begins (n − 1) / 24 s after the first.
    expect([0, 41, 42, 499, 500, 1000].map((ms) => frameAt(ms, 24, 1, 100, true))).toEqual([
      1, 1, 2, 12, 13, 25,
    ]);
  });
  it('begins again after the last, or is over', () => {
    expect(frameAt(1000, 10, 1, 10, true)).toBe(1);
    expect(frameAt(1000, 10, 1, 10, false)).toBeUndefined();
    expect(frameAt(1000, 10, 6, 10, true)).toBe(6);
  });
  it('of an empty sheet is none', () => {
    expect(frameAt(0, 24, 1, 0, true)).toBeUndefined();
  });
});

it('rolls to and fro', () => {
  expect([0, 1, 2, 3, 4, 5].map((step) => toAndFro(step, 3))).toEqual([0, 1, 2, 1, 0, 1]);
  expect([0, 1, 2].map((step) => toAndFro(step, 2))).toEqual([0, 1, 0]);
  expect(toAndFro(7, 1)).toBe(0);
});

describe('play', () => {
  it('runs the exposures: each drawing for as long as it is held', () => {
    const begun = after({ do: 'motion', motion: 'play' });
    const drawings = Array.from(
      { length: 14 },
      (_, n) => modelInMotion(shot, begun, (n * 1000) / 24, 24)?.drawing,
    );
    expect(drawings).toEqual(['1', '1', '1', '2', '2', '3', '4A', '4A', '5', '5', '1', '1', '9', '1']);
  });
  it('holds keys until the next key when keys are played', () => {
    const begun = after({ do: 'set', set: 'keys' }, { do: 'motion', motion: 'play' });
    expect(modelsOfMotion(shot, begun).map(({ drawing }) => drawing)).toEqual([
      ...Array.from({ length: 8 }, () => '1'),
      '5',
      '5',
      '1',
      '1',
      '9',
    ]);
  });
  it('keeps the way of seeing', () => {
    const begun = after({ do: 'way', way: 'side by side' }, { do: 'motion', motion: 'play' });
    expect(modelInMotion(shot, begun, 300, 24)?.way).toBe('side by side');
  });
});

it('a roll goes through the held drawings to and fro', () => {
  const begun = after(
    { do: 'pick', label: '2' },
    { do: 'pick', label: '5' },
    { do: 'pick', label: '9' },
    { do: 'set', set: 'held' },
    { do: 'drawing', label: '2' },
    { do: 'motion', motion: 'roll' },
  );
  const drawings = Array.from({ length: 6 }, (_, n) => modelInMotion(shot, begun, n * 200, 5)?.drawing);
  expect(drawings).toEqual(['2', '5', '9', '5', '2', '5']);
});
