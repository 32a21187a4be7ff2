import { signal } from '@preact/signals';
import { expect, test } from 'vitest';
import { handRest } from '../../../src/desk/checks/hand-rest.ts';
import { firstModel } from '../../../src/desk/model.ts';
import type { Session } from '../../../src/desk/session.ts';
import { shot } from './a-shot.ts';
import { handClock } from './hand-clock.ts';

/** Only what the rest of a hand is read from. */
function desk() {
  const clock = handClock();
  const model = signal(firstModel(shot));
  const [working, camera] = [signal(false), signal(undefined)];
  const rest = handRest({ clock, model, working, camera } as unknown as Session);
  return { clock, model, working, rest };
}

test('a flip is work until a moment after it', async () => {
  const { clock, model, rest } = desk();
  clock.pass(1000);
  expect(rest.resting.value).toBe(true);
  model.value = { ...model.peek(), drawing: '2', frame: 4 };
  expect(rest.resting.value).toBe(false);
  let rested = false;
  const waits = rest.rested().then(() => {
    rested = true;
  });
  // Another flip before the moment is over: it begins anew.
  clock.pass(200);
  model.value = { ...model.peek(), drawing: '4A', frame: 7 };
  clock.pass(200);
  await Promise.resolve();
  expect([rest.resting.value, rested]).toEqual([false, false]);
  clock.pass(1000);
  await waits;
  expect([rest.resting.value, rested]).toEqual([true, true]);
});

test('while the drawings run or a hand is on the paper there is no rest, however long it takes', () => {
  const { clock, model, working, rest } = desk();
  model.value = { ...model.peek(), motion: 'play' };
  clock.pass(60_000);
  expect(rest.resting.value).toBe(false);
  model.value = { ...model.peek(), motion: 'still' };
  working.value = true;
  clock.pass(60_000);
  expect(rest.resting.value).toBe(false);
  working.value = false;
  clock.pass(1000);
  expect(rest.resting.value).toBe(true);
});

test('closed, whoever waits is let go', async () => {
  const { model, rest } = desk();
  model.value = { ...model.peek(), motion: 'play' };
  const waits = rest.rested();
  rest.close();
  await expect(waits).resolves.toBeUndefined();
});
