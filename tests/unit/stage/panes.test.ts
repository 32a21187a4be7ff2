import { describe, expect, it } from 'vitest';
import { clips, frameAt, frames, imagesOf, nearestFirst, panes } from '../../../src/stage/panes.ts';
import type { Spread } from '../../../src/stage/types.ts';

const image = (sha256: string) => ({ sha256, width: 4, height: 3, mediaType: 'image/png', byteLength: 1 });
const spread: Spread = {
  key: 'a/12A',
  clean: [image('c1'), image('c2')],
  rough: [image('r')],
  ghosts: [{ image: image('g'), tint: [1, 0, 0], opacity: 0.3 }],
};
const names = (way: Parameters<typeof panes>[1]) =>
  panes(spread, way, [900, 600], [400, 300]).map(({ plies }) =>
    plies.map((ply) => `${ply.image.sha256} ${ply.opacity}`),
  );

describe('panes', () => {
  it('lay ghosts lowest, then the underlay, then levels in order', () => {
    expect(names({ way: 'clean' })).toEqual([['g 0.3', 'c1 1', 'c2 1']]);
    expect(names({ way: 'underlay', opacity: 0.06 })).toEqual([['g 0.3', 'r 0.06', 'c1 1', 'c2 1']]);
  });
  it('part the stage into halves: the clean above the rough where that shows the paper larger', () => {
    const beside = [
      [0, 0, 450, 600],
      [450, 0, 450, 600],
    ];
    // A 4:3 paper: 450 wide beside, min(900, 400) wide above.
    expect(frames({ way: 'side by side' }, [900, 600], [400, 300])).toEqual(beside);
    // 2:1: 450 wide beside, 600 above, a third more.
    expect(frames({ way: 'side by side' }, [900, 600], [400, 200])).toEqual([
      [0, 300, 900, 300],
      [0, 0, 900, 300],
    ]);
    // 16:9 on a stage of that shape: both are half as large, and beside is the habit.
    expect(frames({ way: 'side by side' }, [1600, 900], [160, 90])).toEqual([
      [0, 0, 800, 900],
      [800, 0, 800, 900],
    ]);
    expect(frames({ way: 'side by side' }, [600, 900], [400, 300])).toEqual([
      [0, 450, 600, 450],
      [0, 0, 600, 450],
    ]);
  });
  it('on an upright stage the clean lies where it lies side by side, whatever way it is looked at', () => {
    const clean = frames({ way: 'side by side' }, [700, 900], [160, 90])[1];
    for (const way of ['clean', 'rough', 'difference'] as const)
      expect(frames({ way }, [700, 900], [160, 90])).toEqual([clean]);
    expect(frames({ way: 'wipe', at: 0.3 }, [700, 900], [160, 90])).toEqual([clean]);
    // Where half the stage would make it smaller it has all of it.
    expect(frames({ way: 'clean' }, [900, 600], [160, 90])).toEqual([[0, 0, 900, 600]]);
    // All of the stage is seen all the same.
    expect(clips({ way: 'clean' }, [700, 900], [160, 90])).toEqual([[0, 0, 700, 900]]);
  });
  it('wipe with one camera and two clips that meet', () => {
    const [rough, clean] = panes(spread, { way: 'wipe', at: 0.25 }, [800, 600], [400, 300]);
    expect([rough?.clip, clean?.clip]).toEqual([
      [0, 0, 200, 600],
      [200, 0, 600, 600],
    ]);
    expect(rough?.frame).toEqual(clean?.frame);
  });
  it('leave ghosts out of a difference', () => {
    expect(names({ way: 'difference' })).toEqual([['r 1', 'c1 1', 'c2 1']]);
  });
});

it('frameAt finds the half under a point, and the nearest one outside', () => {
  const halves = frames({ way: 'side by side' }, [900, 600], [400, 300]);
  expect(frameAt(halves, [10, 10])).toBe(0);
  expect(frameAt(halves, [450, 10])).toBe(1);
  expect(frameAt(halves, [5000, 10])).toBe(1);
  const stacked = frames({ way: 'side by side' }, [600, 900], [400, 300]);
  expect([frameAt(stacked, [10, 10]), frameAt(stacked, [10, 890])]).toEqual([1, 0]);
});

it('imagesOf names each image once', () => {
  const twice: Spread = { ...spread, ghosts: [{ image: image('c1'), tint: [0, 0, 0], opacity: 1 }] };
  expect(
    imagesOf(twice, { way: 'side by side' })
      .map(({ sha256 }) => sha256)
      .sort(),
  ).toEqual(['c1', 'c2', 'r']);
});

describe('nearestFirst', () => {
  it('goes two ahead for one behind', () => {
    expect(nearestFirst(10, 4, 1, false)).toEqual([5, 6, 3, 7, 8, 2, 9, 1, 0]);
    expect(nearestFirst(10, 4, -1, false)).toEqual([3, 2, 5, 1, 0, 6, 7, 8, 9]);
  });
  it('joins the ends in a loop, and names every other drawing once', () => {
    expect(nearestFirst(5, 4, 1, true)).toEqual([0, 1, 3, 2]);
    for (const length of [1, 2, 7]) expect(new Set(nearestFirst(length, 0, -1, true)).size).toBe(length - 1);
  });
});
