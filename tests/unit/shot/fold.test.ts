import { describe, expect, it } from 'vitest';
import { foldFrames } from '../../../src/shot/fold.ts';

const frames = (rough: string, clean = '') =>
  rough.split('').map((pixels, i) => ({
    frame: i + 1,
    label: String(i + 1),
    ...(pixels !== '-' && { rough: pixels }),
    ...(clean[i] && clean[i] !== '-' && { clean: clean[i] }),
  }));

describe('one file a frame', () => {
  it('folds equal neighbours into held drawings', () => {
    const folded = foldFrames(frames('aabbbc'));
    expect(folded?.labels).toEqual(['1', '3', '6']);
    expect(folded?.exposures).toEqual([
      { drawing: '1', frame: 1, length: 2 },
      { drawing: '3', frame: 3, length: 3 },
      { drawing: '6', frame: 6, length: 1 },
    ]);
    expect(folded?.drawingOf.get('5')).toBe('3');
  });

  it('knows a drawing that comes back', () => {
    const folded = foldFrames(frames('aabbaa'));
    expect(folded?.labels).toEqual(['1', '3']);
    expect(folded?.exposures.map(({ drawing }) => drawing)).toEqual(['1', '3', '1']);
  });

  it('leaves drawings alone when no neighbours are equal', () => {
    expect(foldFrames(frames('abcab'))).toBeUndefined();
    expect(foldFrames([])).toBeUndefined();
  });

  it('looks at rough and clean together', () => {
    // Frames 3 and 4 share a rough, but their cleans differ: two drawings.
    expect(foldFrames(frames('aabb', 'xxyz'))?.labels).toEqual(['1', '3', '4']);
    // A clean exported once a drawing, a rough once a frame.
    expect(foldFrames(frames('aabb', 'x-y-'))?.labels).toEqual(['1', '3']);
  });

  it('holds over numbers that are missing, and starts at frame 1', () => {
    const late = [
      [101, 'a'],
      [102, 'a'],
      [105, 'b'],
    ].map(([frame, rough]) => ({ frame: Number(frame), label: String(frame), rough: String(rough) }));
    expect(foldFrames(late)?.exposures).toEqual([
      { drawing: '101', frame: 1, length: 4 },
      { drawing: '105', frame: 5, length: 1 },
    ]);
  });
});
