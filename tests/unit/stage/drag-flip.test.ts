import { describe, expect, it } from 'vitest';
import { createDragFlip, stepsOf } from '../../../src/stage/drag-flip.ts';

describe('stepsOf', () => {
  it.each([
    // Drag px, drawings before, step px, drawings after: by hand, a change at 0.65 past the drawing before.
    [15, 0, 24, 0],
    [16, 0, 24, 1],
    [39, 1, 24, 1],
    [40, 1, 24, 2],
    [-16, 0, 24, -1],
    [9, 1, 24, 1],
    [8, 1, 24, 0],
    [240, 0, 24, 10],
    [-240, 3, 24, -10],
  ])('%i px after %i drawings, %i px each: %i', (dragPx, before, stepPx, after) =>
    // `+ 0` makes −0 plain.
    expect(stepsOf(dragPx, before, stepPx) + 0).toBe(after),
  );
  it('does the same forwards and backwards', () => {
    for (let px = -100; px <= 100; px++) expect(stepsOf(-px, 0, 24) + 0).toBe(-stepsOf(px, 0, 24) + 0);
  });
});

describe('createDragFlip', () => {
  const log = () => {
    const told: string[] = [];
    const drag = createDragFlip({
      stepPx: 20,
      flip: (steps) => told.push(`flip ${steps}`),
      wipeAt: () => undefined,
      wipe: () => told.push('wipe'),
    });
    return { told, drag };
  };
  it('keeps to the axis of its first move', () => {
    const { told, drag } = log();
    drag.begin([0, 0]);
    drag.move([2, 9]);
    drag.move([200, 25]);
    expect(told).toEqual(['flip 1']);
  });
  it('does nothing after its end', () => {
    const { told, drag } = log();
    drag.begin([0, 0]);
    drag.end();
    drag.move([200, 0]);
    expect(told).toEqual([]);
  });
});
