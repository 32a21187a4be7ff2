import { expect, it } from 'vitest';
import { directionAlong, directionOf } from '../../../src/line/line-map.ts';

it('tells the direction of a vector as that of its angle, whatever its length and sense', () => {
  for (let degrees = -359; degrees < 360; degrees++) {
    // Off the edges between directions (22.5° apart), where rounding decides.
    const angle = ((degrees + 0.3) * Math.PI) / 180;
    for (const length of [0.2, 1, 31]) {
      const [x, y] = [length * Math.cos(angle), length * Math.sin(angle)];
      expect(directionAlong(x, y), `${degrees}°`).toBe(directionOf(angle));
      expect(directionAlong(-x, -y), `${degrees}° turned round`).toBe(directionOf(angle));
    }
  }
});

it('tells the upright and the level line', () => {
  expect([directionAlong(1, 0), directionAlong(-1, 0), directionAlong(0, 1), directionAlong(0, -1)]).toEqual([
    0, 0, 4, 4,
  ]);
});
