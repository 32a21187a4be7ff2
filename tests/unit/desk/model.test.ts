import { describe, expect, it } from 'vitest';
import { type Act, act, compareOf, type DeskModel, firstModel, flipLabels } from '../../../src/desk/model.ts';
import { shot } from './a-shot.ts';

const after = (...acts: readonly Act[]): DeskModel =>
  acts.reduce((model, what) => act(shot, model, what), firstModel(shot));
const place = ({ drawing, frame }: DeskModel): string => `${drawing}@${frame}`;

describe('flipping', () => {
  it('starts at the first drawing on the sheet, clean, with the underlay at 6 % (common practice)', () => {
    const start = firstModel(shot);
    expect([place(start), start.way, start.underlay, start.set]).toEqual(['1@1', 'clean', 0.06, 'all']);
  });
  it('goes through all drawings, and stays at the ends', () => {
    const met: string[] = [];
    let model = firstModel(shot);
    for (let n = 0; n < 8; n++) {
      met.push(model.drawing);
      model = act(shot, model, { do: 'step', by: 1 });
    }
    // In the order of the screen; the one not on the sheet comes last.
    expect(met).toEqual(['1', '2', '3', '4A', '5', '9', '7', '7']);
    expect(place(after({ do: 'step', by: -3 }))).toBe('1@1');
  });
  it('goes by several at once', () => {
    expect(place(after({ do: 'step', by: 3 }))).toBe('4A@7');
  });
  it('among keys, flips keys only', () => {
    expect(flipLabels(shot, after({ do: 'set', set: 'keys' }))).toEqual(['1', '5', '9']);
    expect(place(after({ do: 'set', set: 'keys' }, { do: 'step', by: 1 }))).toBe('5@9');
  });
  it('adds breakdowns to the keys', () => {
    expect(flipLabels(shot, after({ do: 'set', set: 'keys and breakdowns' }))).toEqual(['1', '4A', '5', '9']);
  });
  it('settles on the drawing of the set before, when the one on the paper is not in it', () => {
    expect(after({ do: 'drawing', label: '4A' }, { do: 'set', set: 'keys' }).drawing).toBe('1');
  });
  it('meets a drawing that is exposed twice where the hand comes from', () => {
    expect(place(after({ do: 'frame', frame: 13 }, { do: 'step', by: -5 }))).toBe('1@11');
    expect(place(after({ do: 'frame', frame: 9 }, { do: 'drawing', label: '1' }))).toBe('1@11');
  });
  it('reaches a drawing that is not on the sheet, at frame 0', () => {
    expect(place(after({ do: 'drawing', label: '7' }))).toBe('7@0');
  });
  it('leaves the desk as it was for a drawing that is not there', () => {
    const model = firstModel(shot);
    expect(act(shot, model, { do: 'drawing', label: '99' })).toBe(model);
  });
});

describe('the sheet', () => {
  it('shows what is exposed at the frame', () => {
    expect([1, 3, 4, 6, 8, 12, 13].map((frame) => after({ do: 'frame', frame }).drawing)).toEqual([
      '1',
      '1',
      '2',
      '3',
      '4A',
      '1',
      '9',
    ]);
  });
  it('holds each key until the next, when keys alone are flipped', () => {
    const keys = (frame: number): string => after({ do: 'set', set: 'keys' }, { do: 'frame', frame }).drawing;
    expect([1, 6, 8, 9, 10, 11, 13].map(keys)).toEqual(['1', '1', '1', '5', '5', '1', '9']);
  });
  it('keeps within the shot', () => {
    expect(place(after({ do: 'frame', frame: 400 }))).toBe('9@13');
    expect(place(after({ do: 'frame', frame: -2 }))).toBe('1@1');
  });
});

describe('the hand', () => {
  it('holds up to five drawings and refuses a sixth', () => {
    const labels = ['9', '1', '5', '2', '3', '7'];
    const model = after(...labels.map((label): Act => ({ do: 'pick', label })));
    expect(model.held['figure']).toEqual(['9', '1', '5', '2', '3']);
  });
  it('rolls them in the order of their numbers, whatever the order of picking', () => {
    const model = after(
      { do: 'pick', label: '9' },
      { do: 'pick', label: '2' },
      { do: 'pick', label: '4A' },
      { do: 'set', set: 'held' },
    );
    expect(flipLabels(shot, model)).toEqual(['2', '4A', '9']);
  });
  it('lets a drawing go that is picked again', () => {
    expect(after({ do: 'pick', label: '2' }, { do: 'pick', label: '2' }).held['figure']).toEqual([]);
  });
  it('goes back to all drawings when everything is let go', () => {
    const model = after({ do: 'pick', label: '2' }, { do: 'set', set: 'held' }, { do: 'let go' });
    expect([model.set, model.held['figure']]).toEqual(['all', []]);
  });
  it('is a hand for each level', () => {
    const model = after(
      { do: 'pick', label: '2' },
      { do: 'level', level: 'hat' },
      { do: 'pick', label: '6' },
    );
    expect(model.held).toEqual({ figure: ['2'], hat: ['6'] });
  });
});

describe('levels', () => {
  it('keep the frame when another is flipped', () => {
    expect(place(after({ do: 'frame', frame: 7 }, { do: 'level', level: 'hat' }))).toBe('6@7');
  });
  it('go to the first drawing when nothing is exposed at the frame', () => {
    expect(place(after({ do: 'frame', frame: 13 }, { do: 'level', level: 'hat' }))).toBe('1@1');
  });
});

describe('what is seen', () => {
  it('is the other layer only while it is held', () => {
    expect(compareOf(after({ do: 'other', shown: true })).way).toBe('rough');
    expect(compareOf(after({ do: 'way', way: 'rough' }, { do: 'other', shown: true })).way).toBe('clean');
    expect(compareOf(after({ do: 'other', shown: true }, { do: 'other', shown: false })).way).toBe('clean');
  });
  it('keeps underlay and wipe within 0 and 1', () => {
    const model = after(
      { do: 'way', way: 'underlay' },
      { do: 'underlay', opacity: 3 },
      { do: 'wipe', at: -1 },
    );
    expect(compareOf(model)).toEqual({ way: 'underlay', opacity: 1 });
    expect(model.wipe).toBe(0);
  });
});

describe('a level that is not here any more', () => {
  const gone: DeskModel = { ...firstModel(shot), level: 'cape' };
  it('flips nothing of another level in its place', () => {
    expect(flipLabels(shot, gone)).toEqual([]);
    expect(act(shot, gone, { do: 'step', by: 1 })).toBe(gone);
  });
  it('can be left for one that is', () => {
    expect(place(act(shot, gone, { do: 'level', level: 'hat' }))).toBe('1@1');
  });
});
