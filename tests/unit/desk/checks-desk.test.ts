/** The checks of an open shot, with the desk's own session and workers that a test plays. */
import { signal } from '@preact/signals';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { Request } from '../../../src/check/jobs.ts';
import { defaultTolerances } from '../../../src/check/tolerances.ts';
import type { HandRest } from '../../../src/desk/checks/hand-rest.ts';
import { startMeasuring } from '../../../src/desk/checks/measuring.ts';
import type { PaintQuestion } from '../../../src/desk/checks/messages.ts';
import { answerHere, paintTestOf } from '../../../src/desk/checks/paint-test.ts';
import { switchesOf } from '../../../src/desk/checks/switches.ts';
import { setTolerances, tolerancesOf, tolerancesRefuse } from '../../../src/desk/checks/tolerance-keep.ts';
import { openSession, type Session } from '../../../src/desk/session.ts';
import { placeKey } from '../../../src/desk/spread.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { putShot } from '../../support/put-shot.ts';
import { shelfWith } from './a-shelf.ts';
import { figure, image } from './a-shot.ts';
import { handClock } from './hand-clock.ts';

const base: Shot = { id: 'shot-c', title: 'The hat', fps: 24, sizePx: [1920, 1080], levels: [figure] };

/** Answers nothing by itself; keeps what it was asked. */
class Idle {
  static asked: { id?: number; ask?: Request<string> | PaintQuestion; pause?: number; resume?: true }[] = [];
  static last: Idle | undefined;
  readonly #listeners: ((event: { data: unknown }) => void)[] = [];
  constructor() {
    Idle.last = this;
  }
  addEventListener(type: string, listener: (event: { data: unknown }) => void): void {
    if (type === 'message') this.#listeners.push(listener);
  }
  postMessage(message: (typeof Idle.asked)[number]): void {
    Idle.asked.push(message);
  }
  tell(data: unknown): void {
    for (const listener of this.#listeners) listener({ data });
  }
  terminate(): void {}
}

beforeEach(() => {
  Idle.asked = [];
  vi.stubGlobal('Worker', Idle);
  vi.stubGlobal('navigator', { hardwareConcurrency: 2 });
});
afterEach(() => vi.unstubAllGlobals());

async function opened(): Promise<Session> {
  const session = await openSession(await shelfWith(base), handClock(), base.id);
  if (!session) throw new Error('no session');
  return session;
}

test('all tolerances go back to the defaults, and come back, in one step', async () => {
  const session = await opened();
  const tolerances = tolerancesOf(session);
  setTolerances(session, [['weight', 0.3]], 'Weight');
  setTolerances(session, [['boilPx', 2]], 'Boil');
  setTolerances(
    session,
    [
      ['weight', undefined],
      ['boilPx', undefined],
      ['driftPx', undefined],
    ],
    'Back to the defaults',
  );
  expect(tolerances.value).toEqual(defaultTolerances);
  session.undo();
  expect([tolerances.value.weight, tolerances.value.boilPx]).toEqual([0.3, 2]);
  session.redo();
  expect(tolerances.value).toEqual(defaultTolerances);
  // Nothing changes: nothing to undo is added.
  const steps = session.ledger.history.value.done.length;
  setTolerances(session, [['weight', undefined]], 'Weight');
  expect(session.ledger.history.value.done).toHaveLength(steps);
});

test('a narrowest gap that is wider than the widest is refused in a sentence', () => {
  expect(tolerancesRefuse(defaultTolerances, 'leakLeastPx', defaultTolerances.leakPx + 1)).toMatch(/^No gap/);
  expect(tolerancesRefuse(defaultTolerances, 'leakPx', 1)).toMatch(/^No gap/);
  expect(tolerancesRefuse(defaultTolerances, 'leakPx', 30)).toBeUndefined();
  expect(tolerancesRefuse(defaultTolerances, 'weight', 0)).toBeUndefined();
});

test('paint of a take is not laid over the one that came after it', async () => {
  const session = await opened();
  const paint = paintTestOf(session);
  switchesOf(session).paint.value = true;
  const place = { level: 'figure', drawing: '1', frame: 1 };
  session.stageEvents.shown({ key: placeKey(place), way: 'clean', quality: 'flip', complete: true });
  paint.ask([900, 500]);
  const asked = Idle.asked.find(({ ask }) => ask?.kind === 'paint');
  const answer = { runs: new Int32Array(0), meant: new Int32Array(0), holds: true, through: [] };
  Idle.last?.tell({ id: asked?.id, answer: { paint: answer } });
  await expect.poll(() => answerHere(session).value?.paint).toEqual(answer);
  const later = { ...image('c1'), sha256: 'a later take' };
  await session.shelf.keepImage({
    ref: later,
    file: new ArrayBuffer(1),
    thumb: { width: 1, height: 1, channels: 1, data: new Uint8Array(1) },
    flip: { width: 1, height: 1, channels: 1, data: new Uint8Array(1) },
  });
  await putShot(session.shelf, {
    ...base,
    levels: [
      {
        ...figure,
        drawings: figure.drawings.map((drawing) =>
          drawing.label === '1'
            ? { ...drawing, takes: [...drawing.takes, { number: 2, image: later }] }
            : drawing,
        ),
      },
    ],
  });
  await expect.poll(() => answerHere(session).value).toBeUndefined();
});

test('keys that jump to findings say so when the checks cannot be loaded', async () => {
  vi.doMock('../../../src/desk/checks/checks-room.tsx', () => {
    throw new Error('no network');
  });
  await import('../../../src/desk/checks/register.tsx');
  const { commandById } = await import('../../../src/desk/commands.ts');
  const session = await opened();
  commandById('next finding').run(session);
  await expect.poll(() => session.notice.value?.says).toMatch(/^The checks could not be loaded\./);
  vi.doUnmock('../../../src/desk/checks/checks-room.tsx');
});

/** A drawing's result as far as what lies between drawings asks of it. */
const result = { samples: {}, sizePx: [1920, 1080] };

function measuring() {
  const gap = signal(24);
  const shot = signal(base);
  const clock = handClock();
  const rest: HandRest = { resting: signal(true), rested: async () => undefined, close: () => undefined };
  const worker = class extends Idle {
    override postMessage(message: (typeof Idle.asked)[number]): void {
      super.postMessage(message);
      if (message.ask) queueMicrotask(() => this.tell({ id: message.id, answer: result }));
    }
  };
  const model = signal({ level: 'figure', drawing: '1' });
  const session = { clock, shot, model } as unknown as Session;
  const work = startMeasuring(session, rest, () => new worker() as unknown as Worker, gap, signal(false));
  const asked = (): number => Idle.asked.filter(({ ask }) => ask).length;
  const done = (): Promise<void> =>
    expect
      .poll(() => work.progress.value.done === work.progress.value.total && work.measures.value)
      .toBeTruthy();
  return { gap, work, asked, done };
}

test('a hand on the paper, or a stop, pauses what is measured already, and begins nothing', async () => {
  const [resting, stopped] = [signal(true), signal(false)];
  const rest: HandRest = { resting, rested: async () => undefined, close: () => undefined };
  const session = {
    clock: handClock(),
    shot: signal(base),
    model: signal({ level: 'figure', drawing: '1' }),
  } as unknown as Session;
  const work = startMeasuring(session, rest, () => new Idle() as unknown as Worker, signal(24), stopped);
  const last = () => Idle.asked.at(-1);
  const asked = () => Idle.asked.filter(({ ask }) => ask).length;
  await expect.poll(asked).toBe(1);
  resting.value = false;
  expect(last()).toEqual({ pause: 1 });
  Idle.last?.tell({ paused: 1 });
  Idle.last?.tell({ id: Idle.asked[0]?.id, answer: result });
  await new Promise((soon) => setTimeout(soon, 20));
  expect(asked()).toBe(1);
  stopped.value = true;
  resting.value = true;
  await new Promise((soon) => setTimeout(soon, 20));
  expect(asked()).toBe(1);
  stopped.value = false;
  await expect.poll(asked).toBe(2);
  work.close();
});

test('what was measured of the drawing in hand is shown at once', async () => {
  const { work } = measuring();
  // The clock of this desk stands: nothing that waits for it is shown.
  await expect.poll(() => work.measures.value?.results.size ?? 0).toBeGreaterThan(0);
  work.close();
});

test('the shot before its retakes is measured once, however often it is asked for', async () => {
  const { work, asked, done } = measuring();
  await done();
  // Each entry makes the shot anew.
  const first = work.also(structuredClone(base));
  await expect.poll(() => first.value).toBeDefined();
  const before = asked();
  const again = work.also(structuredClone(base));
  expect(again.value).toBeDefined();
  expect(again).toBe(first);
  expect(asked()).toBe(before);
  work.close();
});

test('what was measured for another gap is not held on to: it is on the shelf', async () => {
  const { gap, work, asked, done } = measuring();
  await done();
  const once = asked();
  gap.value = 30;
  await done();
  // What lies between two drawings does not depend on the gap.
  const anew = asked() - once;
  expect(anew).toBeGreaterThan(0);
  gap.value = 24;
  await done();
  expect(asked()).toBe(once + 2 * anew);
  work.close();
});
