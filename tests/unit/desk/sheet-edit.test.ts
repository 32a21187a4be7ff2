/** Expected sheets are written by hand. Invariants: nothing overlaps, no drawing is lost. */
import { array, assert, integer, nat, property, record } from 'fast-check';
import { describe, expect, it } from 'vitest';
import { allOn, withInserted, withRemoved, withStart, withSwapped } from '../../../src/desk/sheet-edit.ts';
import type { Exposure } from '../../../src/shot/model.ts';

const at = (drawing: string, frame: number, length: number): Exposure => ({ drawing, frame, length });
/** A gap of one frame before C. */
const sheet = [at('A', 1, 2), at('B', 3, 4), at('C', 8, 1)];

describe('the sheet written anew', () => {
  it('on ones, keeps the gap', () => {
    expect(allOn(sheet, 1)).toEqual([at('A', 1, 1), at('B', 2, 1), at('C', 4, 1)]);
  });
  it('takes the tail of a hold for a drawing put into it', () => {
    expect(withInserted(sheet, 'N', 5, 2)).toEqual([
      at('A', 1, 2),
      at('B', 3, 2),
      at('N', 5, 2),
      at('C', 8, 1),
    ]);
  });
  it('pushes down what does not fit', () => {
    expect(withInserted(sheet, 'N', 3, 2)).toEqual([
      at('A', 1, 2),
      at('N', 3, 2),
      at('B', 5, 4),
      at('C', 10, 1),
    ]);
  });
  it('puts a drawing after the end', () => {
    expect(withInserted(sheet, 'N', 9, 2).at(-1)).toEqual(at('N', 9, 2));
  });
  it('moves up what follows a drawing taken off', () => {
    expect(withRemoved(sheet, 1)).toEqual([at('A', 1, 2), at('C', 4, 1)]);
  });
  it('starts a drawing later: the hold before it grows, what follows moves along', () => {
    expect(withStart(sheet, 1, 5)).toEqual([at('A', 1, 4), at('B', 5, 4), at('C', 10, 1)]);
  });
  it('starts a drawing earlier: the hold before it gives way, down to one frame', () => {
    expect(withStart(sheet, 1, 1)).toEqual([at('A', 1, 1), at('B', 2, 4), at('C', 7, 1)]);
  });
  it('uses up a gap first', () => {
    expect(withStart(sheet, 2, 7)).toEqual([at('A', 1, 2), at('B', 3, 4), at('C', 7, 1)]);
  });
  it('changes places with the next, lengths and gap kept', () => {
    expect(withSwapped(sheet, 1)).toEqual([at('A', 1, 2), at('C', 3, 1), at('B', 5, 4)]);
  });
});

const anySheet = array(record({ gap: integer({ min: 0, max: 3 }), length: integer({ min: 1, max: 6 }) }), {
  minLength: 1,
  maxLength: 12,
}).map((cells) => {
  let frame = 1;
  return cells.map(({ gap, length }, index) => {
    const exposure = at(`d${index}`, frame + gap, length);
    frame += gap + length;
    return exposure;
  });
});

const sound = (exposures: readonly Exposure[]): boolean =>
  exposures.every((e, n) => {
    const before = exposures[n - 1];
    return e.frame >= 1 && e.length >= 1 && (!before || before.frame + before.length <= e.frame);
  });

it('stays in order, without overlaps, and loses no drawing, whatever is moved where', () => {
  assert(
    property(anySheet, nat(20), integer({ min: 1, max: 80 }), (exposures, which, frame) => {
      const at = which % exposures.length;
      const moved = withStart(withSwapped(exposures, at), at, frame);
      const inserted = withInserted(exposures, 'new', frame, 3);
      expect(sound(moved) && sound(inserted) && sound(withRemoved(exposures, at))).toBe(true);
      expect(moved.map((e) => e.drawing).sort()).toEqual(exposures.map((e) => e.drawing).sort());
      expect(inserted).toHaveLength(exposures.length + 1);
    }),
    { seed: 20_261_125 },
  );
});
