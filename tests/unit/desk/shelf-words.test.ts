/** What the shelf says of what is kept, and of what failed. */
import { expect, test } from 'vitest';
import { createHome } from '../../../src/app/home.ts';
import { keptWords } from '../../../src/app/sizes.ts';
import { carryOf } from '../../../src/app/studio/carry.ts';
import { whatItIs } from '../../../src/app/studio/refused.tsx';
import { SentenceError } from '../../../src/error/sentence.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import type { Shot } from '../../../src/shot/model.ts';
import type { Sync } from '../../../src/sync/sync.ts';
import { putShot } from '../../support/put-shot.ts';
import { entry } from '../note/make.ts';

test('what is kept is what the shots on the shelf add up to; the browser’s guess tells the room left', () => {
  const perShot = new Map([
    ['a', 9_000_000],
    ['b', 15_000_000],
  ]);
  const usage = { usedBytes: 15_000_000, quotaBytes: 1_015_000_000, persistent: true, perShot };
  expect(keptWords(usage)).toBe('24 MB kept on this tablet, room for 1.0 GB more.');
  expect(keptWords({ ...usage, quotaBytes: undefined })).toBe('24 MB kept on this tablet.');
});

const shotOf = (id: string): Shot => ({
  id,
  title: id,
  fps: 24,
  sizePx: [1, 1],
  levels: [{ name: '', drawings: [{ label: '1', takes: [] }], exposures: [] }],
});

test('an answer that was asked for earlier never comes last, and a change meanwhile is looked at', async () => {
  const shelf = memoryShelf();
  const waits: (() => void)[] = [];
  const slow = {
    ...shelf,
    async shots() {
      await new Promise<void>((done) => waits.push(done));
      return shelf.shots();
    },
  };
  const home = createHome(slow);
  await putShot(shelf, shotOf('late'));
  void home.look();
  void home.look();
  // The first look, begun before the shot came, is under way; of those asked for since one is enough.
  expect(waits).toHaveLength(1);
  waits.shift()?.();
  await expect.poll(() => waits.length).toBe(1);
  waits.shift()?.();
  await expect.poll(() => home.shots.value?.map(({ id }) => id)).toEqual(['late']);
  expect(waits).toHaveLength(0);
});

test('what failed stays told while the shelf is looked at for other reasons, until it is tried again by hand', async () => {
  const home = createHome(memoryShelf());
  await home.look();
  home.tell(new SentenceError('failed', 'The shot could not be taken off.'));
  await home.look();
  expect(home.trouble.value).toBe('The shot could not be taken off.');
  await home.again();
  expect(home.trouble.value).toBe('');
});

test('a shot that was fetched and taken off the shelf since may be fetched again', async () => {
  let fetched = 0;
  const sync = {
    keep: async () => {
      fetched++;
    },
  } as unknown as Sync;
  const carry = carryOf(sync, 'a', 'keep');
  for (const times of [1, 2]) {
    carry.go();
    await expect.poll(() => carry.state.value.at).toBe('rest');
    expect(fetched).toBe(times);
  }
});

test('what a studio turned down is called by a person’s word, not by that of the program', () => {
  expect(whatItIs(entry({ kind: 'drawing state', level: '', drawing: '12A', state: 'approved' }))).toBe(
    'State of the drawing on 12A',
  );
  expect(whatItIs(entry({ kind: 'exposure', level: '', drawing: '3', exposures: [] }))).toBe('Exposure on 3');
  expect(whatItIs(entry({ kind: 'withdraw', to: 'note' }))).toBe('Withdrawal');
  expect(whatItIs(entry({ kind: 'something later' } as never))).toBe('An entry');
});
