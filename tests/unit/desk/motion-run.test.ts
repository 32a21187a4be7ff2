import { signal } from '@preact/signals';
import { expect, it, vi } from 'vitest';
import { act, type DeskModel, firstModel } from '../../../src/desk/model.ts';
import { startMotion } from '../../../src/desk/motion-run.ts';
import type { Notice, Session } from '../../../src/desk/session.ts';
import type { Picture } from '../../../src/line/picture.ts';
import { shot } from './a-shot.ts';
import { type HandClock, handClock } from './hand-clock.ts';

/** As much of a session as a motion sees; `picture` answers for the shelf. */
function sessionOf(model: DeskModel, clock: HandClock, picture: () => Promise<Picture | undefined>): Session {
  return {
    shot: signal(shot),
    model: signal(model),
    stage: signal(undefined),
    notice: signal<Notice | undefined>(undefined),
    clock,
    shelf: { picture },
  } as unknown as Session;
}

it('a run without loop ends on the last drawing, also where the screen was too slow to show it in its time', async () => {
  const hand = handClock();
  // The whole shot takes 13/24 s.
  const clock: HandClock = { ...hand, onFrame: (callback) => hand.after(700, callback) };
  const session = sessionOf({ ...firstModel(shot), loop: false }, clock, () => Promise.resolve(undefined));
  // The room is checked for flashes with the window's size.
  vi.stubGlobal('innerWidth', 1180);
  vi.stubGlobal('innerHeight', 820);
  let over = false;
  startMotion(session, 'play', {
    begin: (begun) => Object.assign(session.model, { value: begun }),
    show: (next) => Object.assign(session.model, { value: next }),
    over: () => {
      over = true;
    },
    caution: () => undefined,
  });
  await vi.waitFor(() => expect(session.model.peek().motion).toBe('play'), { timeout: 30_000 });
  await vi.waitFor(
    () => {
      clock.pass(5000);
      expect(over).toBe(true);
    },
    { timeout: 30_000 },
  );
  const end = act(shot, { ...firstModel(shot), motion: 'play' }, { do: 'frame', frame: 13 });
  expect(session.model.peek()).toMatchObject({ frame: 13, drawing: end.drawing });
  vi.unstubAllGlobals();
});

it('what is said of a long flash check goes when the check is through', async () => {
  const clock = handClock();
  let answer: (thumb: Picture | undefined) => void = () => undefined;
  const session = sessionOf(firstModel(shot), clock, () => new Promise((done) => (answer = done)));
  let over = false;
  const stop = startMotion(session, 'play', {
    begin: () => undefined,
    show: () => undefined,
    over: () => {
      over = true;
    },
    caution: () => undefined,
  });
  clock.pass(600);
  expect(session.notice.peek()?.says).toMatch(/flash/);
  vi.stubGlobal('innerWidth', 1180);
  vi.stubGlobal('innerHeight', 820);
  await vi.waitFor(
    () => {
      answer(undefined);
      expect(session.notice.peek()).toBeUndefined();
    },
    { timeout: 30_000 },
  );
  expect(over).toBe(false);
  stop();
  vi.unstubAllGlobals();
});
