/**
 * The pen, and one finger when fingers draw. Listens in the capture phase and keeps pen events from Hammer,
 * which would take a palm and a pen for a pinch.
 */
import type { Point } from './camera.ts';
import type { DragFlip } from './drag-flip.ts';
import { DRAG_THRESHOLD_PX, HOLD_MS } from './hold.ts';
import type { PenPoint, StageEvents } from './types.ts';

/** Pointer Events, chapter 4.1.1: `buttons` of a pen's side button and of its rubber end. */
const SIDE_BUTTON = 2;
const RUBBER_END = 32;
/** Touches count as palm while the pen is down and this long after it lifts. */
const PALM_MS = 500;
/** A drawing finger waits this long, or this far, for a second finger that would make it a pinch. */
const SECOND_FINGER_MS = 120;
const SECOND_FINGER_PX = 6;

export interface PenHooks {
  readonly drag: DragFlip;
  readonly events: Pick<StageEvents, 'pen' | 'penButton' | 'penHover' | 'penSeen' | 'hold' | 'tap'>;
  readonly toPaper: (stage: Point) => Point;
  /** The pen came down: whatever fingers were doing was a palm. */
  readonly dropFingers: () => void;
  readonly pinching: () => boolean;
}

export interface Pen {
  readonly tool: (tool: 'flip' | 'draw') => void;
  readonly fingersDraw: (on: boolean) => void;
  readonly fingerDraws: () => boolean;
  readonly down: () => boolean;
  readonly destroy: () => void;
}

interface Contact {
  readonly id: number;
  readonly draws: boolean;
  readonly end: 'point' | 'rubber';
  readonly start: Point;
  /** By the event's own clock. */
  readonly downAtMs: number;
}

export function createPen(element: HTMLElement, hooks: PenHooks): Pen {
  const { events, drag } = hooks;
  let tool: 'flip' | 'draw' = 'draw';
  let fingerDraws = false;
  let seen = false;
  let busyUntil = 0;
  /** The contact that draws or flips. */
  let contact: Contact | undefined;
  /** A finger whose points are held back until it is sure not to be half of a pinch. */
  let waiting: { readonly id: number; readonly sinceMs: number; readonly points: PenPoint[] } | undefined;
  let dragging = false;
  let holding = false;
  let holdTimer: ReturnType<typeof setTimeout> | undefined;
  let sideButton = false;

  const stagePoint = (event: PointerEvent): Point => {
    const { left, top } = element.getBoundingClientRect();
    return [event.clientX - left, event.clientY - top];
  };
  const penPoint = (event: PointerEvent): PenPoint => {
    const [x, y] = hooks.toPaper(stagePoint(event));
    // A finger and a mouse report ½ or nothing; nothing must not make an invisible line.
    return { x, y, pressure: event.pointerType === 'pen' && event.pressure > 0 ? event.pressure : 0.5 };
  };
  const every = (event: PointerEvent): PenPoint[] => {
    const coalesced = event.getCoalescedEvents?.() ?? [];
    return (coalesced.length > 0 ? coalesced : [event]).map(penPoint);
  };
  const predicted = (event: PointerEvent): PenPoint[] => (event.getPredictedEvents?.() ?? []).map(penPoint);

  function beginFlip(at: Point): void {
    dragging = false;
    holdTimer = setTimeout(() => {
      holding = true;
      events.hold(true);
    }, HOLD_MS);
    drag.begin(at);
  }
  function moveFlip(event: PointerEvent, { start, downAtMs }: Contact): void {
    // The pen may have moved before a hold was due, and a busy tablet told of it only after.
    if (holding && event.timeStamp - downAtMs >= HOLD_MS) return;
    const at = stagePoint(event);
    dragging ||= Math.hypot(at[0] - start[0], at[1] - start[1]) >= DRAG_THRESHOLD_PX;
    if (!dragging) return;
    clearTimeout(holdTimer);
    if (holding) events.hold(false);
    holding = false;
    drag.move(at);
  }
  function endFlip(at: Point, lifted: boolean): void {
    clearTimeout(holdTimer);
    drag.end();
    if (holding) events.hold(false);
    else if (!dragging && lifted) events.tap(hooks.toPaper(at));
    holding = false;
  }

  function penDown(event: PointerEvent): void {
    if (!seen) events.penSeen?.();
    seen = true;
    hooks.dropFingers();
    if (waiting) waiting = undefined;
    const start = stagePoint(event);
    const end = (event.buttons & RUBBER_END) !== 0 ? 'rubber' : 'point';
    contact = {
      id: event.pointerId,
      draws: tool === 'draw' || end === 'rubber',
      end,
      start,
      downAtMs: event.timeStamp,
    };
    if (element.isConnected) capture(event.pointerId);
    if (contact.draws) events.pen('down', [penPoint(event)], [], end);
    else beginFlip(start);
  }

  /** Told over the paper and on it; a line that is being drawn is not disturbed. Returns whether it is down. */
  function sideButtonOf({ buttons }: PointerEvent): boolean {
    const down = (buttons & SIDE_BUTTON) !== 0;
    if (down !== sideButton && !contact) {
      sideButton = down;
      events.penButton?.(down);
    }
    return down;
  }

  function capture(id: number): void {
    try {
      element.setPointerCapture(id);
    } catch {
      // The pointer is already gone; its `pointercancel` is on the way.
    }
  }

  function moved(event: PointerEvent): void {
    if (contact?.draws) events.pen('move', every(event), predicted(event), contact.end);
    else if (contact) moveFlip(event, contact);
  }

  function lifted(event: PointerEvent): void {
    if (!contact) return;
    const cancelled = event.type === 'pointercancel';
    if (contact.draws)
      events.pen(cancelled ? 'cancel' : 'up', cancelled ? [] : [penPoint(event)], [], contact.end);
    else endFlip(stagePoint(event), !cancelled);
    contact = undefined;
    if (event.pointerType === 'pen') busyUntil = performance.now() + PALM_MS;
  }

  function fingerMoved(event: PointerEvent): void {
    if (waiting?.id === event.pointerId) {
      waiting.points.push(...every(event));
      if (hooks.pinching()) waiting = undefined;
      else begunByFinger(event);
    } else if (contact?.id === event.pointerId) moved(event);
  }

  /** Lets a waiting finger draw once it went far or waited long enough. */
  function begunByFinger(event: PointerEvent): void {
    if (!waiting) return;
    const [first, ...rest] = waiting.points;
    const at = penPoint(event);
    const origin = first ?? at;
    const waitedMs = performance.now() - waiting.sinceMs;
    const farPx = Math.hypot(at.x - origin.x, at.y - origin.y) * scaleOf();
    if (waitedMs < SECOND_FINGER_MS && farPx < SECOND_FINGER_PX && event.type === 'pointermove') return;
    contact = {
      id: event.pointerId,
      draws: true,
      end: 'point',
      start: stagePoint(event),
      downAtMs: event.timeStamp,
    };
    waiting = undefined;
    events.pen('down', [origin], [], 'point');
    if (rest.length > 0) events.pen('move', rest, [], 'point');
  }
  /** CSS px per paper px. */
  function scaleOf(): number {
    const [a, b] = [hooks.toPaper([0, 0]), hooks.toPaper([1, 0])];
    return 1 / Math.hypot(a[0] - b[0], a[1] - b[1]);
  }

  function onPen(event: PointerEvent): void {
    event.stopImmediatePropagation();
    const flips = sideButtonOf(event);
    if (event.type === 'pointerdown') {
      if (!contact && !flips) penDown(event);
      return;
    }
    if (event.type === 'pointermove' && !contact) {
      events.penHover(hooks.toPaper(stagePoint(event)));
      return;
    }
    if (contact?.id !== event.pointerId) return;
    if (event.type === 'pointermove') moved(event);
    else lifted(event);
  }

  const penIsDown = () => contact !== undefined && !waiting;
  const palmTime = () => performance.now() < busyUntil;

  function onFinger(event: PointerEvent): void {
    const palm = event.pointerType === 'touch' && (palmTime() || (contact !== undefined && !fingerDraws));
    if (event.type === 'pointerdown' && palm) {
      event.stopImmediatePropagation();
      return;
    }
    // What a finger began while fingers drew it ends, too: else the pen would wait for its end for ever.
    if (!fingerDraws && contact?.id !== event.pointerId) return;
    if (event.type === 'pointerdown') {
      // A second finger turns a first one that waits into half of a pinch; one that draws goes on drawing.
      if (contact) event.stopImmediatePropagation();
      else if (waiting) waiting = undefined;
      else if (event.button === 0)
        waiting = { id: event.pointerId, sinceMs: performance.now(), points: [penPoint(event)] };
    } else if (event.type === 'pointermove') fingerMoved(event);
    else {
      if (waiting?.id === event.pointerId && event.type === 'pointerup') begunByFinger(event);
      if (contact?.id === event.pointerId) lifted(event);
      waiting = undefined;
    }
  }

  let byPen = false;
  const onPointer = (event: PointerEvent) => {
    byPen = event.pointerType === 'pen';
    if (byPen) onPen(event);
    else onFinger(event);
  };
  /**
   * The mouse event that follows a pen would take the focus from a field. It is stopped here and not at `pointerdown`:
   * after `preventDefault` there WebKitGTK sends no further event of the pen.
   */
  const onMouseDown = (event: MouseEvent) => {
    if (byPen) event.preventDefault();
  };
  const onLeave = (event: PointerEvent) => {
    if (event.pointerType !== 'pen' || contact) return;
    events.penHover(undefined);
    if (sideButton) events.penButton?.(false);
    sideButton = false;
  };
  const types = ['pointerdown', 'pointermove', 'pointerup', 'pointercancel'] as const;
  for (const type of types) element.addEventListener(type, onPointer, { capture: true });
  element.addEventListener('mousedown', onMouseDown, { capture: true });
  element.addEventListener('pointerleave', onLeave);

  return {
    tool(next) {
      tool = next;
    },
    fingersDraw(on) {
      fingerDraws = on;
      if (!on) waiting = undefined;
    },
    fingerDraws: () => fingerDraws,
    down: penIsDown,
    destroy() {
      clearTimeout(holdTimer);
      for (const type of types) element.removeEventListener(type, onPointer, { capture: true });
      element.removeEventListener('mousedown', onMouseDown, { capture: true });
      element.removeEventListener('pointerleave', onLeave);
    },
  };
}
