import { expect, test } from 'vitest';
import { SentenceError } from '../../../src/error/sentence.ts';
import { answerJobs, type Breathe } from '../../../src/work/answer.ts';
import type { FromWorker, ToWorker } from '../../../src/work/messages.ts';

/** The worker's side, with the page played by the test. */
function worker(work: (ask: string, breathe: Breathe) => Promise<string> | string) {
  const said: FromWorker<string>[] = [];
  let tell: (message: ToWorker<string>) => void = () => undefined;
  answerJobs<string, string>(
    {
      listen: (listener) => {
        tell = listener;
      },
      send: (message) => void said.push(message),
    },
    work,
  );
  return { said, tell: (message: ToWorker<string>) => tell(message) };
}

test('a job is answered, and an error is a sentence, not the end of the worker', async () => {
  const { said, tell } = worker((ask) => {
    if (ask === 'bad') throw new SentenceError('missing', 'its file is not on this tablet');
    return ask.toUpperCase();
  });
  tell({ id: 1, ask: 'bad' });
  tell({ id: 2, ask: 'good' });
  await expect
    .poll(() => said)
    .toEqual([
      { id: 1, failed: 'its file is not on this tablet' },
      { id: 2, answer: 'GOOD' },
    ]);
});

test('between two steps it stands still while paused, says so, and goes on from there', async () => {
  const steps: number[] = [];
  const { said, tell } = worker(async (_, breathe) => {
    for (let step = 0; step < 6; step++) {
      steps.push(step);
      if (step === 2) tell({ pause: 7 });
      await breathe();
    }
    return 'done';
  });
  tell({ id: 1, ask: 'a' });
  await expect.poll(() => said).toEqual([{ paused: 7 }]);
  await new Promise((soon) => setTimeout(soon, 30));
  expect(steps).toEqual([0, 1, 2]);
  tell({ resume: true });
  await expect.poll(() => said.at(-1)).toEqual({ id: 1, answer: 'done' });
  expect(steps).toEqual([0, 1, 2, 3, 4, 5]);
});

test('paused again before it went on, it says so with the new number', async () => {
  const { said, tell } = worker(async (_, breathe) => {
    tell({ pause: 1 });
    await breathe();
    return 'done';
  });
  tell({ id: 1, ask: 'a' });
  await expect.poll(() => said).toEqual([{ paused: 1 }]);
  tell({ resume: true });
  tell({ pause: 2 });
  await expect.poll(() => said).toEqual([{ paused: 1 }, { paused: 2 }]);
});
