import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { createPen } from '../../../src/stage/pen.ts';

/** An element of the page as far as the pen needs one, and what the pen told. */
function paper() {
  const element = Object.assign(new EventTarget(), {
    isConnected: false,
    getBoundingClientRect: () => ({ left: 0, top: 0 }),
  }) as unknown as HTMLElement;
  const told: string[] = [];
  const pen = createPen(element, {
    drag: { begin: () => undefined, move: ([x]) => void told.push(`drag ${x}`), end: () => undefined },
    events: {
      pen: (phase, _, __, end) => void told.push(end === 'rubber' ? `${phase} rubber` : phase),
      penButton: (down) => void told.push(down ? 'button' : 'button up'),
      penHover: () => undefined,
      hold: (down) => void told.push(down ? 'held' : 'let go'),
      tap: () => undefined,
    },
    toPaper: ([x, y]) => [x, y],
    dropFingers: () => undefined,
    pinching: () => false,
  });
  const send = (
    type: string,
    pointerType: 'pen' | 'touch',
    pointerId: number,
    x: number,
    atMs = 0,
    buttons = 1,
  ): void => {
    const where = { pointerType, pointerId, clientX: x, clientY: 0, pressure: 0.5, button: 0, buttons };
    const event = Object.assign(new Event(type), where);
    Object.defineProperty(event, 'timeStamp', { value: atMs });
    element.dispatchEvent(event);
  };
  return { pen, told, send };
}

test('a line that a finger began ends though fingers no longer draw, and the pen draws after it', () => {
  const { pen, told, send } = paper();
  pen.fingersDraw(true);
  send('pointerdown', 'touch', 7, 0);
  send('pointermove', 'touch', 7, 40);
  // The other hand taps the switch.
  pen.fingersDraw(false);
  send('pointermove', 'touch', 7, 60);
  send('pointerup', 'touch', 7, 60);
  expect(told).toEqual(['down', 'move', 'move', 'up']);
  send('pointerdown', 'pen', 9, 0);
  send('pointerup', 'pen', 9, 1);
  expect(told.slice(4)).toEqual(['down', 'up']);
});

test('a finger that waited for a second one draws nothing once fingers do not draw', () => {
  const { pen, told, send } = paper();
  pen.fingersDraw(true);
  send('pointerdown', 'touch', 7, 0);
  pen.fingersDraw(false);
  send('pointerup', 'touch', 7, 0);
  expect(told).toEqual([]);
});

describe('a pen that flips', () => {
  beforeEach(() => vi.useFakeTimers());
  afterEach(() => vi.useRealTimers());

  /** Down at 1000 ms; the hold falls due before anything more is told. */
  const rested = () => {
    const { pen, told, send } = paper();
    pen.tool('flip');
    send('pointerdown', 'pen', 9, 0, 1000);
    vi.advanceTimersByTime(500);
    return { told, send };
  };

  test('and moved in time flips, though a busy tablet told of it after the hold was due', () => {
    const { told, send } = rested();
    send('pointermove', 'pen', 9, 30, 1016);
    send('pointermove', 'pen', 9, 60, 1400);
    send('pointerup', 'pen', 9, 60, 1416);
    expect(told).toEqual(['held', 'let go', 'drag 30', 'drag 60']);
  });

  test('and rested first holds until it is lifted, wherever it slips', () => {
    const { told, send } = rested();
    send('pointermove', 'pen', 9, 30, 1450);
    send('pointerup', 'pen', 9, 30, 1500);
    expect(told).toEqual(['held', 'let go']);
  });
});

// Values of `buttons`: W3C Pointer Events, the table of chorded buttons (2: barrel button, 32: eraser).
test('the rubber end rubs, whatever the pen is for', () => {
  const { pen, told, send } = paper();
  pen.tool('flip');
  send('pointerdown', 'pen', 9, 0, 0, 32);
  send('pointermove', 'pen', 9, 5, 0, 32);
  send('pointerup', 'pen', 9, 5, 0, 0);
  expect(told).toEqual(['down rubber', 'move rubber', 'up rubber']);
});

test('the side button is told over the paper and on it, and draws nothing', () => {
  const { told, send } = paper();
  send('pointermove', 'pen', 9, 0, 0, 2);
  send('pointermove', 'pen', 9, 0, 0, 0);
  send('pointerdown', 'pen', 9, 0, 0, 2);
  send('pointerup', 'pen', 9, 0, 0, 0);
  expect(told).toEqual(['button', 'button up', 'button', 'button up']);
});

test('a line that is being drawn is not disturbed by the side button', () => {
  const { told, send } = paper();
  send('pointerdown', 'pen', 9, 0);
  send('pointermove', 'pen', 9, 5, 0, 3);
  send('pointerup', 'pen', 9, 5, 0, 0);
  expect(told).toEqual(['down', 'move', 'up']);
});
