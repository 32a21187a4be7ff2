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

/** The next animation frame of the page: what was sent before it has been handled. */
export const nextFrame = (page: Page): Promise<void> =>
  page.evaluate(() => new Promise<void>((done) => requestAnimationFrame(() => done())));

/**
 * All fingers that are down, in the order they came down (the index is the finger). An empty list lifts
 * them; fewer than before lifts the missing ones from the end.
 */
export async function fingers(
  page: Page,
  phase: 'touchStart' | 'touchMove' | 'touchEnd' | 'touchCancel',
  down: readonly At[],
): Promise<void> {
  const cdp = await session(page);
  await cdp.send('Input.dispatchTouchEvent', {
    type: phase,
    touchPoints: down.map(({ x, y }, id) => ({ x, y, id, radiusX: 4, radiusY: 4, force: 0.5 })),
  });
}

/** One path a finger, all moved in step; a page frame passes after each step. Ends lifted. */
export async function drag(page: Page, paths: readonly (readonly At[])[]): Promise<void> {
  const steps = Math.max(...paths.map((path) => path.length));
  const at = (step: number): At[] =>
    paths.map((path) => path[Math.min(step, path.length - 1)]).filter((point) => point !== undefined);
  await fingers(page, 'touchStart', at(0));
  for (let step = 1; step < steps; step++) {
    await fingers(page, 'touchMove', at(step));
    await nextFrame(page);
  }
  await fingers(page, 'touchEnd', []);
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

/** One pen event. `hover` moves with no button and no pressure. */
export async function pen(page: Page, phase: 'down' | 'move' | 'up' | 'hover', at: PenAt): Promise<void> {
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
    pointerType: 'pen',
    button: phase === 'hover' ? 'none' : 'left',
    buttons: touching ? 1 : 0,
    clickCount: phase === 'hover' ? 0 : 1,
    force: touching ? (at.pressure ?? 0.5) : 0,
  });
}

/** A whole stroke: down, a move a point, up; a page frame passes after each move. */
export async function stroke(page: Page, points: readonly PenAt[]): Promise<void> {
  const first = points[0];
  const last = points.at(-1);
  if (first === undefined || last === undefined) throw new Error('A stroke needs at least one point.');
  await pen(page, 'hover', first);
  await pen(page, 'down', first);
  for (const point of points.slice(1)) {
    await pen(page, 'move', point);
    await nextFrame(page);
  }
  await pen(page, 'up', last);
  await nextFrame(page);
}
