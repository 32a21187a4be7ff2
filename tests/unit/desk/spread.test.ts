import { describe, expect, it } from 'vitest';
import { type Act, act, type DeskModel, firstModel } from '../../../src/desk/model.ts';
import { imagesOfShot, placeKey, placeOf, spreadOf, spreadsAhead } from '../../../src/desk/spread.ts';
import type { ImageRef } from '../../../src/shot/model.ts';
import { shot } from './a-shot.ts';

const after = (...acts: readonly Act[]): DeskModel =>
  acts.reduce((model, what) => act(shot, model, what), firstModel(shot));
const names = (images: readonly ImageRef[]): string[] =>
  images.map(({ sha256 }) => sha256.replace(/0+$/, ''));
const alone: Act = { do: 'together' };

describe('a spread', () => {
  it('names its drawing and frame so that they come back from the stage', () => {
    const at = { level: 'a "b"/c', drawing: '12A', frame: 7 };
    expect(placeOf(placeKey(at))).toEqual(at);
  });
  it('holds every level at the frame, the lowest first', () => {
    const { clean, rough } = spreadOf(shot, after({ do: 'frame', frame: 8 }));
    expect([names(clean), names(rough)]).toEqual([
      ['c4A', 'c6'],
      ['r4A', 'r6'],
    ]);
  });
  it('holds the flipped level alone when it is asked for', () => {
    expect(names(spreadOf(shot, after(alone, { do: 'frame', frame: 8 })).clean)).toEqual(['c4A']);
  });
  it('leaves a drawing without clean-up honestly empty, with its rough faintly through it', () => {
    const { clean, ghosts } = spreadOf(shot, after(alone, { do: 'drawing', label: '3' }));
    expect(clean).toEqual([]);
    expect(names(ghosts.map((ghost) => ghost.image))).toEqual(['r3']);
  });
  it('shows neighbours from the flip set only: among keys, keys', () => {
    const acts: Act[] = [alone, { do: 'set', set: 'keys' }, { do: 'frame', frame: 9 }];
    const { ghosts } = spreadOf(shot, after(...acts, { do: 'neighbours', before: 1, after: 1 }));
    expect(names(ghosts.map((ghost) => ghost.image))).toEqual(['c1', 'c9']);
  });
  it('makes farther neighbours fainter, and those before another tint than those after', () => {
    const model = after(alone, { do: 'drawing', label: '4A' }, { do: 'neighbours', before: 2, after: 1 });
    const { ghosts } = spreadOf(shot, model);
    // The drawing without clean-up shows its rough.
    expect(names(ghosts.map((ghost) => ghost.image))).toEqual(['c2', 'r3', 'c5']);
    expect(ghosts[0]?.opacity).toBeLessThan(ghosts[1]?.opacity ?? 0);
    expect(ghosts[1]?.tint).not.toEqual(ghosts[2]?.tint);
  });
  it('shows no neighbours while drawings run', () => {
    const model = after(alone, { do: 'neighbours', before: 1, after: 1 }, { do: 'motion', motion: 'play' });
    expect(spreadOf(shot, model).ghosts).toEqual([]);
  });
});

describe('what is decoded ahead', () => {
  it('begins with the next drawing in the direction of travel, and names none twice', () => {
    const forwards = after(alone, { do: 'frame', frame: 4 });
    const keys = spreadsAhead(shot, forwards).map(({ key }) => placeOf(key).drawing);
    expect(keys.slice(0, 2)).toEqual(['3', '4A']);
    expect(new Set(keys).size).toBe(keys.length);
    const backwards = after(alone, { do: 'frame', frame: 9 }, { do: 'step', by: -1 });
    expect(placeOf(spreadsAhead(shot, backwards)[0]?.key ?? '').drawing).toBe('3');
  });
});

it('every picture of the shot is known to the stage', () => {
  // 9 drawings, each with a rough; one has no clean.
  expect(imagesOfShot(shot)).toHaveLength(17);
});
