import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drawingKey, drawingOf, drawingsByKey, levelNamed } from '../../../src/shot/drawing-ref.ts';
import type { Level } from '../../../src/shot/model.ts';

const level = (name: string, ...labels: string[]): Level => ({
  name,
  drawings: labels.map((label) => ({ label, takes: [] })),
  exposures: [],
});
const shot = { levels: [level('figure', '1', '2A'), level('hat', '2A', '3')] };

describe('a drawing of a shot', () => {
  it('is found on its own level, whichever levels have its label', () => {
    expect(drawingOf(shot, { level: 'hat', drawing: '2A' })).toBe(shot.levels[1]?.drawings[0]);
    expect(drawingOf(shot, { level: 'figure', drawing: '3' })).toBeUndefined();
  });

  it('is nowhere when its level is not here: the lowest does not stand in for it', () => {
    expect(levelNamed(shot, 'cape')).toBeUndefined();
    expect(drawingOf(shot, { level: 'cape', drawing: '1' })).toBeUndefined();
    expect(drawingOf({ levels: [] }, { level: '', drawing: '1' })).toBeUndefined();
  });

  it('has a key of its own, whatever characters names and labels hold', () => {
    const text = fc.string({ unit: fc.constantFrom('a', '/', '\n', ' ', '"', ',', '[', '\\') });
    const ref = fc.record({ level: text, drawing: text });
    fc.assert(
      fc.property(ref, ref, (a, b) => {
        const same = a.level === b.level && a.drawing === b.drawing;
        expect(drawingKey(a) === drawingKey(b)).toBe(same);
      }),
    );
  });

  it('is in the map of all by that key', () => {
    const all = drawingsByKey(shot);
    expect(all.size).toBe(4);
    expect(all.get(drawingKey({ level: 'hat', drawing: '3' }))).toBe(shot.levels[1]?.drawings[1]);
  });
});
