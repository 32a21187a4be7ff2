/** Fingers and pen, sent through the browser's own input path (trusted events, hit-tested, coalesced). */
import type { CDPSession, Page } from 'playwright';

/** CSS px from the viewport's top left corner. */
export interface At {
  readonly x: number;
  readonly y: number;
}
/** `pressure` 0..1, ½ unless given. */
export interface PenAt extends At {
  readonly pressure?: number;
}

const sessions = new WeakMap<Page, Promise<CDPSession>>();
function session(page: Page): Promise<CDPSession> {
  let found = sessions.get(page);
  if (found === undefined) {
    found = page.context().newCDPSession(page);
    sessions.set(page, found);
  }
  return found;
}

/**
 * When a hand that began now reaches its points, 16 ms apart. However late a busy machine passes them on,
 * their stamps tell a drag from a press and hold.
 */
export function handClock(): (step: number) => number {
  const startMs = Date.now();
  return (step) => Math.min(Date.now(), startMs + step * 16);
}

/** The next animation frame of the page: what was sent before it has been handled. */
export const nextFrame = (page: Page): Promise<void> =>
  page.evaluate(() => new Promise<void>((done) => requestAnimationFrame(() => done())));

/**
 * All fingers that are down, in the order they came down (the index is the finger). An empty list lifts
 * them; fewer than before lifts the missing ones from the end. `atMs`: when, by the clock of `Date.now`.
 */
export async function fingers(
  page: Page,
  phase: 'touchStart' | 'touchMove' | 'touchEnd' | 'touchCancel',
  down: readonly At[],
  atMs = Date.now(),
): Promise<void> {
  const cdp = await session(page);
  await cdp.send('Input.dispatchTouchEvent', {
    type: phase,
    touchPoints: down.map(({ x, y }, id) => ({ x, y, id, radiusX: 4, radiusY: 4, force: 0.5 })),
    timestamp: atMs / 1000,
  });
}

/** One path a finger, all moved in step; a page frame passes after each step. Ends lifted. */
export async function drag(page: Page, paths: readonly (readonly At[])[]): Promise<void> {
  const steps = Math.max(...paths.map((path) => path.length));
  const at = (step: number): At[] =>
    paths.map((path) => path[Math.min(step, path.length - 1)]).filter((point) => point !== undefined);
  const stampMs = handClock();
  await fingers(page, 'touchStart', at(0), stampMs(0));
  for (let step = 1; step < steps; step++) {
    await fingers(page, 'touchMove', at(step), stampMs(step));
    await nextFrame(page);
  }
  await fingers(page, 'touchEnd', [], stampMs(steps));
  await nextFrame(page);
}

/** Points on a straight way, both ends included. */
export const line = (from: At, to: At, steps: number): At[] =>
  Array.from({ length: steps + 1 }, (_, i) => ({
    x: from.x + ((to.x - from.x) * i) / steps,
    y: from.y + ((to.y - from.y) * i) / steps,
  }));

export async function tap(page: Page, at: At): Promise<void> {
  await fingers(page, 'touchStart', [at]);
  await fingers(page, 'touchEnd', []);
  await nextFrame(page);
}

/** One event of a pen, or of a mouse. `hover` moves with no button and no pressure. */
export async function pen(
  page: Page,
  phase: 'down' | 'move' | 'up' | 'hover',
  at: PenAt,
  atMs = Date.now(),
  pointerType: 'pen' | 'mouse' = 'pen',
): Promise<void> {
  const cdp = await session(page);
  const type = {
    down: 'mousePressed',
    move: 'mouseMoved',
    up: 'mouseReleased',
    hover: 'mouseMoved',
  } as const;
  const touching = phase === 'down' || phase === 'move';
  await cdp.send('Input.dispatchMouseEvent', {
    type: type[phase],
    x: at.x,
    y: at.y,
    pointerType,
    button: phase === 'hover' ? 'none' : 'left',
    buttons: touching ? 1 : 0,
    clickCount: phase === 'hover' ? 0 : 1,
    force: touching ? (at.pressure ?? 0.5) : 0,
    timestamp: atMs / 1000,
  });
}

/** A whole stroke: down, a move a point, up; a page frame passes after each move. */
export async function stroke(
  page: Page,
  points: readonly PenAt[],
  pointerType: 'pen' | 'mouse' = 'pen',
): Promise<void> {
  const first = points[0];
  const last = points.at(-1);
  if (first === undefined || last === undefined) throw new Error('A stroke needs at least one point.');
  const stampMs = handClock();
  await pen(page, 'hover', first, stampMs(0), pointerType);
  await pen(page, 'down', first, stampMs(0), pointerType);
  for (const [step, point] of points.entries()) {
    if (step === 0) continue;
    await pen(page, 'move', point, stampMs(step), pointerType);
    await nextFrame(page);
  }
  await pen(page, 'up', last, stampMs(points.length), pointerType);
  await nextFrame(page);
}
