/**
 * Paper alone: nothing on the screen but the drawing and the hand. A strip along every edge of the screen still
 * answers fingers: running along it flips, resting on it shows the other layer, a tap brings the tools back. So does
 * a tap beside the paper. The pen draws right up to the edge.
 */
import { effect, type Signal, signal } from '@preact/signals';
import { perSession } from './per-session.ts';
import type { Session } from './session.ts';
import { setTable, table } from './table.ts';

/** Wide enough for a thumb that holds the tablet, CSS px. */
const edgePx = 30;
/** A finger that runs so far flips one drawing, or one frame along the sheet's edge. */
const stepPx = 24;
const stillPx = 10;
const restMs = 350;

export const aloneOf = perSession((): Signal<boolean> => signal(false));

export function setAlone(session: Session, alone: boolean): void {
  aloneOf(session).value = alone;
  if (!alone) return;
  session.panel.value = undefined;
  if (!table.peek().edgeKnown)
    session.notice.value = { says: 'Paper alone. A tap on any edge, or Esc, brings the tools back.' };
}

interface Run {
  readonly id: number;
  readonly x: number;
  readonly y: number;
  /** By the event's own clock: a busy tablet tells late. */
  readonly downAtMs: number;
  /** Along the sheet's edge by frames, along the others by drawings. */
  readonly by: 'frame' | 'step';
  readonly along: 'x' | 'y';
  done: number;
  moved: boolean;
  resting: boolean;
}

type Edge = 'left' | 'right' | 'top' | 'bottom';

function edgeAt(x: number, y: number): Edge | undefined {
  if (x < edgePx) return 'left';
  if (x > innerWidth - edgePx) return 'right';
  if (y < edgePx) return 'top';
  return y > innerHeight - edgePx ? 'bottom' : undefined;
}

/** Listens on the desk while its paper is alone. Returns what ends it. */
export function listenAtEdges(session: Session, desk: HTMLElement): () => void {
  const alone = aloneOf(session);
  // What stands beside the paper asks for the tools; so does a panel that a key opened.
  const stopPanel = effect(() => {
    if (session.panel.value !== undefined || session.helpOpen.value) alone.value = false;
  });
  const ended = new AbortController();
  let run: Run | undefined;
  let cancelRest: (() => void) | undefined;

  const back = (): void => {
    setAlone(session, false);
    setTable({ edgeKnown: true });
  };
  const flip = (event: PointerEvent, now: Run): void => {
    const steps = Math.trunc((now.along === 'x' ? event.clientX - now.x : event.clientY - now.y) / stepPx);
    const by = steps - now.done;
    if (by === 0) return;
    now.done = steps;
    if (now.by === 'step') session.act({ do: 'step', by });
    else session.act({ do: 'frame', frame: session.model.peek().frame + by });
  };
  const letGo = (): void => {
    cancelRest?.();
    if (run?.resting) session.hold(false);
    run = undefined;
  };

  const down = (event: PointerEvent): void => {
    if (!alone.peek() || event.pointerType === 'pen' || event.button !== 0) return;
    if (event.target instanceof Element && event.target.closest('button, input, .line')) return;
    const edge = edgeAt(event.clientX, event.clientY);
    const beside = !edge && isBeside(session, event);
    if (!edge && !beside) return;
    // A finger beside the paper goes on to the stage, which flips and zooms there; only its tap counts here.
    if (edge) event.stopPropagation();
    if (run) return;
    const sheetSide = document.documentElement.dataset['hand'] === 'left' ? 'right' : 'left';
    const now: Run = {
      id: event.pointerId,
      x: event.clientX,
      y: event.clientY,
      downAtMs: event.timeStamp,
      by: edge === sheetSide ? 'frame' : 'step',
      along: edge === 'left' || edge === 'right' ? 'y' : 'x',
      done: 0,
      moved: beside,
      resting: false,
    };
    run = now;
    if (beside) {
      tapBeside(now);
      return;
    }
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
    cancelRest = session.clock.after(restMs, () => {
      if (now.moved || run !== now) return;
      now.resting = true;
      session.hold(true);
    });
  };
  const tapBeside = (now: Run): void => {
    const up = new AbortController();
    const over = (event: PointerEvent): void => {
      if (event.pointerId !== now.id) return;
      up.abort();
      run = undefined;
      const far = Math.hypot(event.clientX - now.x, event.clientY - now.y);
      if (event.type === 'pointerup' && far < stillPx && event.timeStamp - now.downAtMs < restMs) back();
    };
    addEventListener('pointerup', over, { capture: true, signal: up.signal });
    addEventListener('pointercancel', over, { capture: true, signal: up.signal });
    ended.signal.addEventListener('abort', () => up.abort());
  };
  const move = (event: PointerEvent): void => {
    if (!run || run.id !== event.pointerId) return;
    // It may have moved before a rest was due, and a busy tablet told of it only after.
    if (run.resting && event.timeStamp - run.downAtMs >= restMs) return;
    run.moved ||= Math.hypot(event.clientX - run.x, event.clientY - run.y) >= stillPx;
    if (run.moved && run.resting) {
      run.resting = false;
      session.hold(false);
    }
    if (run.moved) flip(event, run);
  };
  const up = (event: PointerEvent): void => {
    if (!run || run.id !== event.pointerId) return;
    const tapped = event.type === 'pointerup' && !run.moved && event.timeStamp - run.downAtMs < restMs;
    letGo();
    if (tapped) back();
  };
  const options = { capture: true, signal: ended.signal };
  desk.addEventListener('pointerdown', down, options);
  desk.addEventListener('pointermove', move, options);
  desk.addEventListener('pointerup', up, options);
  desk.addEventListener('pointercancel', up, options);
  return () => {
    stopPanel();
    letGo();
    ended.abort();
  };
}

/** On the grey, where no drawing lies. */
function isBeside(session: Session, event: PointerEvent): boolean {
  const stage = session.stage.peek();
  if (!stage || !(event.target instanceof Element)) return false;
  const place = event.target.closest('.stage')?.getBoundingClientRect();
  if (!place) return false;
  const [x, y] = stage.toPaper([event.clientX - place.left, event.clientY - place.top]);
  const [width, height] = session.shot.peek().sizePx;
  return x < 0 || y < 0 || x > width || y > height;
}
