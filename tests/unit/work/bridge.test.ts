import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { createBridge, type Failure, pauseWithinMs } from '../../../src/work/bridge.ts';
import { playedWorkers } from './a-worker.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

const asks = (heard: readonly object[]): string[] =>
  heard.flatMap((message) => ('ask' in message ? [String(message.ask)] : []));

test('each worker has one job at a time; the others wait in their order', async () => {
  const { all, start } = playedWorkers();
  const bridge = createBridge<string, string>({ size: 2, start });
  const answers = ['a', 'b', 'c'].map((job) => bridge.ask(job));
  expect(all.map(({ heard }) => asks(heard))).toEqual([['a'], ['b']]);
  all[1]?.say({ id: all[1].jobId(), answer: 'B' });
  expect(asks(all[1]?.heard ?? [])).toEqual(['b', 'c']);
  all[1]?.say({ id: all[1].jobId(), answer: 'C' });
  all[0]?.say({ id: all[0].jobId(), answer: 'A' });
  expect(await Promise.all(answers)).toEqual(['A', 'B', 'C']);
});

test('a job that waits is dropped when it is aborted; the answer of one under way is not heard', async () => {
  const { all, start } = playedWorkers();
  const bridge = createBridge<string, string>({ size: 1, start });
  const stop = new AbortController();
  const [under, waits] = ['under way', 'waits'].map((job) => bridge.ask(job, { signal: stop.signal }));
  const last = bridge.ask('last');
  stop.abort(new Error('left'));
  await expect(under).rejects.toThrow('left');
  await expect(waits).rejects.toThrow('left');
  all[0]?.say({ id: all[0].jobId(), answer: 'late' });
  expect(asks(all[0]?.heard ?? [])).toEqual(['under way', 'last']);
  all[0]?.say({ id: all[0].jobId(), answer: 'L' });
  expect(await last).toBe('L');
});

test('a worker that dies takes its own job along, and the next is done by another', async () => {
  const { all, start } = playedWorkers();
  const failures: Failure[] = [];
  const failed = (why: Failure): Error => {
    failures.push(why);
    return new Error('a sentence');
  };
  const bridge = createBridge<string, string>({ size: 1, start, failed });
  const first = bridge.ask('a');
  const second = bridge.ask('b');
  all[0]?.die('Uncaught RangeError');
  await expect(first).rejects.toThrow('a sentence');
  expect(failures).toEqual([{ how: 'died', reason: 'Uncaught RangeError' }]);
  expect(all.map(({ heard }) => asks(heard))).toEqual([['a'], ['b']]);
  all[1]?.say({ id: all[1].jobId(), failed: 'it is blank' });
  await expect(second).rejects.toThrow('a sentence');
  expect(failures[1]).toEqual({ how: 'said', reason: 'it is blank' });
});

test('a pause stops what is under way at its next step, and begins nothing', async () => {
  const { all, start } = playedWorkers();
  const bridge = createBridge<string, string>({ size: 2, start });
  const first = bridge.ask('a');
  bridge.pause();
  const second = bridge.ask('b');
  expect(all).toHaveLength(1);
  expect(all[0]?.heard.at(-1)).toEqual({ pause: 1 });
  all[0]?.say({ paused: 1 });
  vi.advanceTimersByTime(60_000);
  expect(all[0]?.ended).toBe(false);
  bridge.resume();
  expect(all[0]?.heard.at(-1)).toEqual({ resume: true });
  expect(asks(all[1]?.heard ?? [])).toEqual(['b']);
  all[0]?.say({ id: all[0].jobId(), answer: 'A' });
  all[1]?.say({ id: all[1].jobId(), answer: 'B' });
  expect(await Promise.all([first, second])).toEqual(['A', 'B']);
});

test('a worker that does not come to a stop in time is ended, and its job done again after the pause', async () => {
  const { all, start } = playedWorkers();
  const bridge = createBridge<string, string>({ size: 1, start });
  const answer = bridge.ask('long');
  const after = bridge.ask('after');
  bridge.pause();
  vi.advanceTimersByTime(pauseWithinMs - 1);
  expect(all[0]?.ended).toBe(false);
  vi.advanceTimersByTime(1);
  expect(all[0]?.ended).toBe(true);
  expect(all).toHaveLength(1);
  bridge.resume();
  expect(asks(all[1]?.heard ?? [])).toEqual(['long']);
  all[1]?.say({ id: all[1].jobId(), answer: 'L' });
  all[1]?.say({ id: all[1].jobId(), answer: 'M' });
  expect(await Promise.all([answer, after])).toEqual(['L', 'M']);
});

test('a word from an earlier pause does not count as standing still in this one', () => {
  const { all, start } = playedWorkers();
  const bridge = createBridge<string, string>({ size: 1, start });
  void bridge.ask('a');
  bridge.pause();
  bridge.resume();
  bridge.pause();
  all[0]?.say({ paused: 1 });
  vi.advanceTimersByTime(pauseWithinMs);
  expect(all[0]?.ended).toBe(true);
});

test('a job that was cut short twice is let run to its end', () => {
  const { all, start } = playedWorkers();
  const bridge = createBridge<string, string>({ size: 1, start });
  void bridge.ask('long');
  for (let turn = 0; turn < 5; turn++) {
    bridge.pause();
    vi.advanceTimersByTime(pauseWithinMs);
    bridge.resume();
  }
  expect(all.map(({ ended }) => ended)).toEqual([true, true, false]);
});

test('what was handed over cannot be done again: such a worker is left to end', () => {
  const { all, start } = playedWorkers();
  const bridge = createBridge<string, string>({ size: 1, start });
  void bridge.ask('a', { transfer: [new ArrayBuffer(3)] });
  bridge.pause();
  vi.advanceTimersByTime(pauseWithinMs);
  expect(all[0]?.ended).toBe(false);
});

test('at rest there is no worker; what they were at is done again in its order', () => {
  const { all, start } = playedWorkers();
  const bridge = createBridge<string, string>({ size: 2, start });
  for (const job of ['a', 'b', 'c']) void bridge.ask(job);
  bridge.rest();
  expect(all.map(({ ended }) => ended)).toEqual([true, true]);
  void bridge.ask('d');
  expect(all).toHaveLength(2);
  bridge.wake();
  expect(all.slice(2).map(({ heard }) => asks(heard))).toEqual([['a'], ['b']]);
});

test('a worker that idles for long is ended, one that works is not, and a job that takes too long is given up', async () => {
  const { all, start } = playedWorkers();
  const bridge = createBridge<string, string>({
    size: 1,
    start,
    idleMs: 10_000,
    longestMs: 60_000,
    failed: ({ how }) => new Error(how),
  });
  const quick = bridge.ask('quick');
  vi.advanceTimersByTime(30_000);
  expect(all[0]?.ended).toBe(false);
  all[0]?.say({ id: all[0].jobId(), answer: 'Q' });
  expect(await quick).toBe('Q');
  vi.advanceTimersByTime(10_000);
  expect(all[0]?.ended).toBe(true);
  const slow = bridge.ask('slow');
  vi.advanceTimersByTime(60_000);
  await expect(slow).rejects.toThrow('took too long');
  expect(all[1]?.ended).toBe(true);
});

test('closed, every job ends silently, and none begins', async () => {
  const { all, start } = playedWorkers();
  const bridge = createBridge<string, string>({ size: 1, start });
  const jobs = ['a', 'b'].map((job) => bridge.ask(job));
  bridge.close();
  for (const job of [...jobs, bridge.ask('c')])
    await expect(job).rejects.toMatchObject({ name: 'AbortError' });
  expect(all.map(({ ended }) => ended)).toEqual([true]);
});
