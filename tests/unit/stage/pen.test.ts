import { expect, test } from 'vitest';
import { createPen } from '../../../src/stage/pen.ts';

/** An element of the page as far as the pen needs one, and what the pen told. */
function paper() {
  const element = Object.assign(new EventTarget(), {
    isConnected: false,
    getBoundingClientRect: () => ({ left: 0, top: 0 }),
  }) as unknown as HTMLElement;
  const told: string[] = [];
  const pen = createPen(element, {
    drag: { begin: () => undefined, move: () => undefined, end: () => undefined },
    events: {
      pen: (phase) => void told.push(phase),
      penHover: () => undefined,
      hold: () => undefined,
      tap: () => undefined,
    },
    toPaper: ([x, y]) => [x, y],
    dropFingers: () => undefined,
    pinching: () => false,
  });
  const send = (type: string, pointerType: 'pen' | 'touch', pointerId: number, x: number): void => {
    const where = { pointerType, pointerId, clientX: x, clientY: 0, pressure: 0.5, button: 0 };
    element.dispatchEvent(Object.assign(new Event(type), where));
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
