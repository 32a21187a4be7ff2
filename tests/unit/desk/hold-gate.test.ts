import { expect, it } from 'vitest';
import { holdGate } from '../../../src/desk/hold-gate.ts';
import { handClock } from './hand-clock.ts';

it('shows the other layer at once when the hand is calm', () => {
  const clock = handClock();
  const changes: boolean[] = [];
  const hold = holdGate(clock, (down) => changes.push(down));
  hold(true);
  clock.pass(400);
  hold(false);
  expect(changes).toEqual([true, false]);
});

it('never lets more than six changes (three flashes, WCAG 2.2, 2.3.1) into one second, however fast the hand', () => {
  const clock = handClock();
  const atMs: number[] = [];
  const hold = holdGate(clock, () => atMs.push(clock.nowMs()));
  for (let n = 0; n < 200; n++) {
    hold(n % 2 === 0);
    clock.pass(37);
  }
  expect(atMs.length).toBeGreaterThan(10);
  const most = Math.max(...atMs.map((start) => atMs.filter((ms) => ms >= start && ms < start + 1000).length));
  expect(most).toBeLessThanOrEqual(6);
});

it('ends as the hand ends', () => {
  const clock = handClock();
  const changes: boolean[] = [];
  const hold = holdGate(clock, (down) => changes.push(down));
  hold(true);
  clock.pass(20);
  hold(false);
  clock.pass(1000);
  expect(changes.at(-1)).toBe(false);
});
