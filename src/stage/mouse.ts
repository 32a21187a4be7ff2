/** Wheel, trackpad, and the mouse buttons that move the paper. A plain drag of the mouse is one finger. */
import type { Grip, Point } from './camera.ts';

/** Zoom per wheel px: a notch of 100 px changes the zoom by about a fifth. */
const ZOOM_PER_PX = 0.002;
/** A trackpad's pinch comes as a wheel with Ctrl and far smaller steps. */
const ZOOM_PER_PINCH_PX = 0.01;
/** Px of a wheel that counts in lines or pages. */
const PX_PER = [1, 16, 400] as const;

export interface MouseHooks {
  readonly grip: (grip: Grip) => void;
  /** While the pen is down nothing else happens. */
  readonly busy: () => boolean;
}

/** The wheel zooms about the pointer; with Shift, or sideways, it moves the paper; so does a middle drag. */
export function createMouse(element: HTMLElement, hooks: MouseHooks): () => void {
  let panFrom: Point | undefined;
  const stagePoint = (event: MouseEvent): Point => {
    const { left, top } = element.getBoundingClientRect();
    return [event.clientX - left, event.clientY - top];
  };
  const move = (from: Point, to: Point) => hooks.grip({ from, to, scale: 1, turnRad: 0 });

  function onWheel(event: WheelEvent): void {
    event.preventDefault();
    if (hooks.busy()) return;
    const unit = PX_PER[event.deltaMode as 0 | 1 | 2] ?? 1;
    const [dx, dy] = [event.deltaX * unit, event.deltaY * unit];
    const at = stagePoint(event);
    if (!event.ctrlKey && (event.shiftKey || Math.abs(dx) > Math.abs(dy)))
      move(at, [at[0] - dx, at[1] - (event.shiftKey && dx ? 0 : dy)]);
    else {
      const scale = Math.exp(-dy * (event.ctrlKey ? ZOOM_PER_PINCH_PX : ZOOM_PER_PX));
      hooks.grip({ from: at, to: at, scale, turnRad: 0 });
    }
  }
  function onDown(event: PointerEvent): void {
    if (event.pointerType !== 'mouse' || !(event.button === 1 || (event.button === 0 && event.shiftKey)))
      return;
    event.preventDefault();
    event.stopImmediatePropagation();
    element.setPointerCapture(event.pointerId);
    panFrom = stagePoint(event);
  }
  function onMove(event: PointerEvent): void {
    if (!panFrom || event.pointerType !== 'mouse') return;
    const to = stagePoint(event);
    move(panFrom, to);
    panFrom = to;
  }
  const onUp = () => {
    panFrom = undefined;
  };
  const listeners: readonly [string, (event: never) => void, AddEventListenerOptions][] = [
    ['pointerdown', onDown, { capture: true }],
    ['pointermove', onMove, {}],
    ['pointerup', onUp, {}],
    ['pointercancel', onUp, {}],
    ['wheel', onWheel, { passive: false }],
  ];
  for (const [type, listener, how] of listeners)
    element.addEventListener(type, listener as EventListener, how);
  return () => {
    for (const [type, listener, how] of listeners)
      element.removeEventListener(type, listener as EventListener, how);
  };
}
