import { describe, expect, it } from 'vitest';
import { noHistory } from '../../../src/desk/history.ts';
import { fromKept, toKeep } from '../../../src/desk/keep.ts';
import { act, firstModel } from '../../../src/desk/model.ts';
import { shot } from './a-shot.ts';

const camera = { centre: [900, 400] as const, zoom: 1.5, angleRad: 0.2, mirrored: true };

describe('the desk after a reload', () => {
  it('stands as it was left, through JSON', () => {
    const lists = { fixes: { state: 'all', who: 'Jo' } };
    let model = act(shot, firstModel(shot), { do: 'pick', label: '5' });
    model = act(shot, model, { do: 'set', set: 'keys' });
    model = act(shot, model, { do: 'frame', frame: 9 });
    model = act(shot, model, { do: 'way', way: 'wipe' });
    const kept = { model, camera, fitted: false, history: noHistory, panel: 'edit', lists };
    expect(fromKept(shot, JSON.parse(JSON.stringify(toKeep(kept))))).toEqual(kept);
  });
  it('does not run on by itself, nor hold the other layer', () => {
    const model = { ...firstModel(shot), motion: 'play' as const, other: true };
    const kept = { model, camera: undefined, fitted: true, history: noHistory, panel: undefined, lists: {} };
    const back = fromKept(shot, toKeep(kept));
    expect([back.model.motion, back.model.other]).toEqual(['still', false]);
  });
  it('was kept with its whole paper in view by a build that wrote no camera then', () => {
    expect(fromKept(shot, { model: firstModel(shot), camera }).fitted).toBe(false);
    expect(fromKept(shot, { model: firstModel(shot) }).fitted).toBe(true);
  });
  it.each([
    ['nothing kept', undefined],
    ['an older shape', { v: 0, place: 12 }],
    ['a drawing that is gone', { model: { ...firstModel(shot), drawing: '400' } }],
    ['a level that is gone', { model: { ...firstModel(shot), level: 'shadow' } }],
    [
      'numbers that are none',
      { model: { ...firstModel(shot), frame: Number.NaN }, camera: { ...camera, zoom: 0 } },
    ],
  ])('starts afresh after %s', (_, kept) => {
    expect(fromKept(shot, kept)).toEqual({
      model: firstModel(shot),
      camera: undefined,
      fitted: true,
      history: noHistory,
      panel: undefined,
      lists: {},
    });
  });
});
