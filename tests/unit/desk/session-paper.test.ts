/** What the desk tells the stage when a take comes while it stands. */
import { expect, test } from 'vitest';
import { openSession } from '../../../src/desk/session.ts';
import type { ImageRef, Shot } from '../../../src/shot/model.ts';
import type { Stage } from '../../../src/stage/types.ts';
import { putShot } from '../../support/put-shot.ts';
import { shelfWith } from './a-shelf.ts';
import { figure, image } from './a-shot.ts';
import { handClock } from './hand-clock.ts';

const base: Shot = { id: 'shot-p', title: 'The hat', fps: 24, sizePx: [1920, 1080], levels: [figure] };

test('a larger take that arrives makes the paper larger, and its thumb is kept at hand', async () => {
  const session = await openSession(await shelfWith(base), handClock(), base.id);
  if (!session) throw new Error('no session');
  const sizes: (readonly [number, number])[] = [];
  let thumbs: readonly ImageRef[] = [];
  const nothing = () => undefined;
  const takeOff = session.attach({
    setPaperSize: (size) => void sizes.push(size),
    keepThumbs: (images) => {
      thumbs = images;
    },
    compare: nothing,
    show: nothing,
    ahead: nothing,
    fit: nothing,
    moveTo: nothing,
  } as Partial<Stage> as Stage);
  const larger: ImageRef = { ...image('c1'), sha256: 'larger', width: 4096, height: 2304 };
  const dot = { width: 1, height: 1, channels: 1, data: new Uint8Array(1) } as const;
  await session.shelf.keepImage({ ref: larger, file: new ArrayBuffer(1), thumb: dot, flip: dot });
  const [first, ...others] = figure.drawings;
  if (!first) throw new Error('no drawing');
  const drawings = [{ ...first, takes: [...first.takes, { number: 2, image: larger }] }, ...others];
  await putShot(session.shelf, { ...base, sizePx: [4096, 2304], levels: [{ ...figure, drawings }] });
  await expect
    .poll(() => sizes)
    .toEqual([
      [1920, 1080],
      [4096, 2304],
    ]);
  expect(thumbs).toContainEqual(larger);
  takeOff();
  await session.close();
  expect(session.left.aborted).toBe(true);
});

test('the pen belongs to the hand that took it last, and falls back, in whatever order hands let go', async () => {
  const session = await openSession(await shelfWith(base), handClock(), base.id);
  if (!session) throw new Error('no session');
  const asked: string[] = [];
  const hand = (name: string) => ({
    pen: () => undefined,
    hover: () => undefined,
    tap: () => void asked.push(name),
  });
  const tap = (): void => session.stageEvents.tap([1, 2]);
  tap();
  const notesLetGo = session.takePen(hand('notes'));
  tap();
  const paintLetGo = session.takePen(hand('paint'));
  tap();
  // The notes go while the paint test still has the pen: it must not come back to them.
  notesLetGo();
  tap();
  paintLetGo();
  tap();
  paintLetGo();
  expect(asked).toEqual(['notes', 'paint', 'paint']);
  await session.close();
});
