import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  drawingAt,
  exposuresOf,
  guessExposures,
  hold,
  labelsInScreenOrder,
  lastFrame,
} from '../../../src/shot/exposures.ts';
import { soundExposures } from '../../../src/shot/sound-exposures.ts';
import { drawing, level, shotOf } from './make.ts';

const sheet = level(
  ['1', '2', '3'].map((label) => drawing(label)),
  [
    { drawing: '2', frame: 1, length: 3 },
    { drawing: '1', frame: 4, length: 1 },
    { drawing: '2', frame: 7, length: 2 },
  ],
);

describe('exposures', () => {
  it('are guessed on twos in label order', () => {
    expect(guessExposures(['10', '2', '2A'])).toEqual([
      { drawing: '2', frame: 1, length: 2 },
      { drawing: '2A', frame: 3, length: 2 },
      { drawing: '10', frame: 5, length: 2 },
    ]);
  });

  it('say what is on screen at every frame, and where nothing is', () => {
    const shown = Array.from({ length: 10 }, (_, frame) => drawingAt(sheet, frame) ?? '-').join('');
    expect(shown).toBe('-2221--22-');
  });

  it('list a drawing that comes back', () => {
    expect(exposuresOf(sheet, '2').map(({ frame }) => frame)).toEqual([1, 7]);
    expect(labelsInScreenOrder(sheet)).toEqual(['2', '1', '3']);
  });

  it('end at the last frame of any level', () => {
    const hat = level([drawing('A')], [{ drawing: 'A', frame: 2, length: 9 }], 'hat');
    expect(lastFrame(shotOf([sheet, hat]))).toBe(10);
    expect(lastFrame(shotOf([level([])]))).toBe(0);
  });

  it('move what follows when a hold changes, and keep its lengths', () => {
    expect(hold(sheet.exposures, 1, 5)).toEqual([
      { drawing: '2', frame: 1, length: 5 },
      { drawing: '1', frame: 6, length: 1 },
      { drawing: '2', frame: 9, length: 2 },
    ]);
    expect(hold(sheet.exposures, 4, 0)).toEqual(sheet.exposures);
    expect(hold(sheet.exposures, 2, 9)).toEqual(sheet.exposures);
  });

  it('agree with a walk through the list for any sheet', () => {
    const lengths = fc.array(fc.tuple(fc.nat(3), fc.integer({ min: 1, max: 4 })), { maxLength: 30 });
    fc.assert(
      fc.property(lengths, (steps) => {
        let frame = 1;
        const exposures = steps.map(([gap, length], i) => {
          const exposure = { drawing: String(i), frame: frame + gap, length };
          frame += gap + length;
          return exposure;
        });
        const any = level([], exposures);
        for (let f = 0; f <= frame + 1; f++) {
          const walked = exposures.find((e) => f >= e.frame && f < e.frame + e.length)?.drawing;
          expect(drawingAt(any, f)).toBe(walked);
        }
      }),
      { seed: 21 },
    );
  });

  it('of unknown origin are put in order, and every change is told', () => {
    const { exposures, faults } = soundExposures(
      [
        { drawing: '3', frame: 5, length: 2 },
        { drawing: '9', frame: 2, length: 1 },
        { drawing: '1', frame: 1, length: 9 },
        { drawing: '2', frame: 5, length: 1 },
      ],
      ['1', '2', '3'],
    );
    expect(exposures).toEqual([
      { drawing: '1', frame: 1, length: 4 },
      { drawing: '2', frame: 5, length: 1 },
    ]);
    expect(faults).toEqual([
      'Frame 2 exposes drawing 9, which is not there: left out.',
      'Drawing 1 at frame 1 is held into the next: cut to 4.',
      'Drawing 3 and another both start at frame 5: left out.',
    ]);
  });
});
