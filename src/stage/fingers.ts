/** Fingers (and the mouse as one finger). The only module that knows Hammer. */
import Hammer from 'hammerjs';
import type { Grip, Point } from './camera.ts';
import type { DragFlip } from './drag-flip.ts';
import { DRAG_THRESHOLD_PX, HOLD_MS } from './hold.ts';

/** A finger that stays down after a pinch, or slips while lifting, must not flip. */
const SLEEP_AFTER_PINCH_MS = 250;
/** A twist below this (7°) is no turn: two fingers that zoom never keep quite level. */
const TURN_FROM_RAD = 0.12;

export interface FingerHooks {
  readonly drag: DragFlip;
  /** Stage px. */
  readonly grip: (grip: Grip) => void;
  readonly hold: (down: boolean) => void;
  readonly tap: (at: Point) => void;
  /** While true one finger draws (see `pen.ts`); only two-finger gestures count here. */
  readonly oneFingerDraws: () => boolean;
}

export interface Fingers {
  /** Lets go of everything, e.g. because the pen came down and these were a palm. */
  readonly drop: () => void;
  /** True from the second finger's contact until the sleep after it is over. */
  readonly pinching: () => boolean;
  readonly destroy: () => void;
}

interface Pair {
  readonly middle: Point;
  readonly apartPx: number;
  readonly angleRad: number;
}

export function createFingers(element: HTMLElement, hooks: FingerHooks): Fingers {
  // Input class named, not guessed: Hammer would take touch events on some tablets and mix in the mouse.
  const manager = new Hammer.Manager(element, {
    inputClass: Hammer.PointerEventInput,
    touchAction: 'none',
    recognizers: [],
  });
  const pan = new Hammer.Pan({ pointers: 1, threshold: DRAG_THRESHOLD_PX, direction: Hammer.DIRECTION_ALL });
  // Below 0 on purpose: two fingers are a grip at once, even when they move exactly in step.
  const pinch = new Hammer.Pinch({ pointers: 2, threshold: -1 });
  const press = new Hammer.Press({ time: HOLD_MS, threshold: DRAG_THRESHOLD_PX });
  const tap = new Hammer.Tap({ time: HOLD_MS - 50, threshold: DRAG_THRESHOLD_PX });
  manager.add([pan, pinch, press, tap]);
  pinch.recognizeWith([pan, press, tap]);
  press.recognizeWith([pan, tap]);
  tap.recognizeWith(pan);

  let sleepUntil = 0;
  /** When the first finger came down, by the event's own clock. */
  let downAtMs = 0;
  let held = false;
  let panning = false;
  let pair: Pair | undefined;
  let twistRad = 0;
  let turning = false;

  const stagePoint = (clientX: number, clientY: number): Point => {
    const { left, top } = element.getBoundingClientRect();
    return [clientX - left, clientY - top];
  };
  const firstPoint = (event: HammerInput): Point => {
    const pointer = event.pointers[0] as PointerEvent;
    return stagePoint(pointer.clientX, pointer.clientY);
  };
  /** By the events' own clock where there is one: a busy tablet tells of them late. */
  const asleep = (atMs = performance.now()) => atMs < sleepUntil;

  function release(): void {
    if (held) hooks.hold(false);
    held = false;
  }
  function endPan(): void {
    if (panning) hooks.drag.end();
    panning = false;
  }

  function pairOf(event: HammerInput): Pair | undefined {
    const [one, two] = event.pointers as PointerEvent[];
    if (!one || !two) return undefined;
    const [dx, dy] = [two.clientX - one.clientX, two.clientY - one.clientY];
    return {
      middle: stagePoint((one.clientX + two.clientX) / 2, (one.clientY + two.clientY) / 2),
      apartPx: Math.max(1, Math.hypot(dx, dy)),
      angleRad: Math.atan2(dy, dx),
    };
  }

  /** The turn since the last event that counts: none until the twist is meant. */
  function turnOf(from: Pair, to: Pair): number {
    const turn = Math.atan2(Math.sin(to.angleRad - from.angleRad), Math.cos(to.angleRad - from.angleRad));
    twistRad += turn;
    if (turning) return turn;
    turning = Math.abs(twistRad) > TURN_FROM_RAD;
    return turning ? twistRad - Math.sign(twistRad) * TURN_FROM_RAD : 0;
  }

  /** The finger moved before a hold was due, but a busy tablet told of it only after. */
  const movedInTime = (event: HammerInput) => event.srcEvent.timeStamp - downAtMs < HOLD_MS;

  manager.on('panstart', (event) => {
    if (asleep(event.srcEvent.timeStamp) || hooks.oneFingerDraws()) return;
    if (held && !movedInTime(event)) return;
    release();
    panning = true;
    const [x, y] = firstPoint(event);
    hooks.drag.begin([x - event.deltaX, y - event.deltaY]);
    hooks.drag.move([x, y]);
  });
  manager.on('panmove', (event) => {
    if (panning) hooks.drag.move(firstPoint(event));
  });
  manager.on('panend pancancel', endPan);

  manager.on('pinchstart', (event) => {
    sleepUntil = Number.POSITIVE_INFINITY;
    endPan();
    release();
    pair = pairOf(event);
    twistRad = 0;
    turning = false;
  });
  manager.on('pinchmove', (event) => {
    const now = pairOf(event);
    if (!now || !pair) return;
    hooks.grip({
      from: pair.middle,
      to: now.middle,
      scale: now.apartPx / pair.apartPx,
      turnRad: turnOf(pair, now),
    });
    pair = now;
  });
  const endPinch = (atMs = performance.now()) => {
    pair = undefined;
    if (sleepUntil === Number.POSITIVE_INFINITY) sleepUntil = atMs + SLEEP_AFTER_PINCH_MS;
  };
  manager.on('pinchend pinchcancel', (event) => endPinch(event.srcEvent.timeStamp));

  manager.on('press', () => {
    if (asleep() || panning || hooks.oneFingerDraws()) return;
    held = true;
    hooks.hold(true);
  });
  manager.on('tap', (event) => {
    if (!asleep() && !hooks.oneFingerDraws()) hooks.tap(firstPoint(event));
  });
  // Hammer sends no `pressup` after a move or a cancel; the raw input always tells when the finger is gone.
  manager.on('hammer.input', (event) => {
    if (event.isFirst) downAtMs = event.srcEvent.timeStamp;
    if (!event.isFinal) return;
    release();
    endPan();
    endPinch(event.srcEvent.timeStamp);
  });

  return {
    drop() {
      manager.stop(true);
      release();
      endPan();
      endPinch();
    },
    pinching: () => asleep(),
    destroy() {
      release();
      manager.destroy();
    },
  };
}
