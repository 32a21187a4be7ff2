/** Everything the hands do on the stage, and what keeps the browser from taking it. */
import type { Grip, Point } from './camera.ts';
import { createDragFlip } from './drag-flip.ts';
import { createFingers } from './fingers.ts';
import { createMouse } from './mouse.ts';
import { createPen } from './pen.ts';
import type { StageEvents } from './types.ts';

/** CSS px of a drag per drawing: sixteen drawings under a thumb's sweep of 400 px. */
const FLIP_STEP_PX = 24;

export interface HandHooks {
  readonly flipStepPx: number | undefined;
  readonly toPaper: (stage: Point) => Point;
  readonly grip: (grip: Grip) => void;
  readonly wipeAt: () => number | undefined;
  readonly wipe: (atPx: number) => void;
}

export interface Hands {
  readonly fingersDraw: (on: boolean) => void;
  readonly penTool: (tool: 'flip' | 'draw') => void;
  readonly destroy: () => void;
}

export function createHands(element: HTMLElement, events: StageEvents, hooks: HandHooks): Hands {
  const drag = createDragFlip({
    stepPx: hooks.flipStepPx ?? FLIP_STEP_PX,
    flip: (steps) => events.flip(steps),
    wipeAt: hooks.wipeAt,
    wipe: hooks.wipe,
  });
  const release = guard(element);
  // The pen listens first, so that what it keeps to itself reaches neither mouse nor fingers.
  const pen = createPen(element, {
    drag,
    events,
    toPaper: hooks.toPaper,
    dropFingers: () => fingers.drop(),
    pinching: () => fingers.pinching(),
  });
  const stopMouse = createMouse(element, { grip: hooks.grip, busy: pen.down });
  const fingers = createFingers(element, {
    drag,
    grip: hooks.grip,
    hold: (down) => events.hold(down),
    tap: (at) => events.tap(hooks.toPaper(at)),
    oneFingerDraws: pen.fingerDraws,
  });
  const onHide = () => {
    if (document.hidden) fingers.drop();
  };
  document.addEventListener('visibilitychange', onHide);
  return {
    fingersDraw: pen.fingersDraw,
    penTool: pen.tool,
    destroy() {
      document.removeEventListener('visibilitychange', onHide);
      fingers.destroy();
      stopMouse();
      pen.destroy();
      release();
    },
  };
}

/**
 * Keeps scrolling, page zoom, text selection and the long-press menu off the stage. On iPadOS, Scribble
 * eats quick pen strokes unless `touchmove` is prevented, in a listener that is not passive; only here, as
 * elsewhere it would kill taps.
 */
function guard(element: HTMLElement): () => void {
  element.style.touchAction = 'none';
  for (const property of ['user-select', '-webkit-user-select', '-webkit-touch-callout'])
    element.style.setProperty(property, 'none');
  const prevent = (event: Event) => {
    if (event.cancelable) event.preventDefault();
  };
  const types = ['touchmove', 'gesturestart', 'gesturechange', 'contextmenu', 'selectstart', 'dragstart'];
  for (const type of types) element.addEventListener(type, prevent, { passive: false });
  return () => {
    for (const type of types) element.removeEventListener(type, prevent);
  };
}
