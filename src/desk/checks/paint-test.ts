/** The paint test in hand: a tap on the paper asks what a fill would cover, and where it would run out. */
import { computed, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import { createBridge } from '../../work/bridge.ts';
import { pagePort, restingPutAway } from '../../work/page-port.ts';
import { fromPaper, placementOf } from '../notes/place.ts';
import { perSession } from '../per-session.ts';
import type { PenHand, Session } from '../session.ts';
import { checksOf, cleanIn } from './checks-desk.ts';
import type { Paint, PaintAnswer, PaintQuestion, PaintRuns } from './messages.ts';
import { newChecksWorker } from './new-worker.ts';
import { bridge } from './openings.ts';
import { switchesOf } from './switches.ts';

export interface Painted {
  readonly level: string;
  readonly drawing: string;
  readonly sha256: string;
  /** Where it was tapped, px of the drawing. */
  readonly at: readonly [number, number];
  /** Undefined while it is being found out. */
  readonly paint: Paint | undefined;
  readonly refused: string;
}

export interface PaintTest {
  readonly answer: ReadonlySignal<Painted | undefined>;
  /** Widest gap that counts as one, px of the drawing. */
  readonly gapPx: Signal<number>;
  /** Asks at a place of the paper. */
  readonly ask: (paper: readonly [number, number]) => void;
  close(): void;
}

/** Between two taps; then the worker gives its memory back, some 200 MB of a large drawing. */
const idleMs = 20_000;

export const paintTestOf = perSession(openPaintTest);

function openPaintTest(session: Session): PaintTest {
  const { paint: on } = switchesOf(session);
  const answer = signal<Painted | undefined>(undefined);
  const gapPx = signal(checksOf(session).tolerances.peek().leakPx);
  const worker = restingPutAway(
    createBridge<PaintQuestion, PaintAnswer>({ size: 1, start: () => pagePort(newChecksWorker()), idleMs }),
  );
  let last = new AbortController();

  function send(question: Pick<PaintQuestion, 'sha256' | 'x' | 'y'>): void {
    last.abort();
    last = new AbortController();
    const { signal } = last;
    const told = (more: Pick<Painted, 'paint' | 'refused'>): void => {
      const asked = answer.peek();
      if (asked && !signal.aborted) answer.value = { ...asked, ...more };
    };
    worker.ask({ kind: 'paint', ...question, gapPx: gapPx.peek() }, { signal }).then(
      (found) =>
        told('paint' in found ? { ...found, refused: '' } : { paint: undefined, refused: found.refused }),
      () => told({ paint: undefined, refused: 'The paint test stopped; tap again.' }),
    );
  }

  const test: PaintTest = {
    answer,
    gapPx,
    ask(paper) {
      const here = session.onPaper.peek();
      const shot = session.shot.peek();
      const clean = here && cleanIn(shot, here);
      if (!here || !clean) {
        session.notice.value = { says: 'There is no clean-up here to try paint on.' };
        return;
      }
      const { sha256, width, height } = clean;
      const [x, y] = fromPaper(placementOf(shot, clean, [width, height]), paper);
      const { level, drawing } = here;
      answer.value = { level, drawing, sha256, at: [x, y], paint: undefined, refused: '' };
      send({ sha256, x, y });
    },
    close() {
      for (const stop of stops) stop();
      last.abort();
      worker.close();
    },
  };

  /** Another gap size asks the same place again. */
  const stopAsking = effect(() => {
    void gapPx.value;
    const asked = answer.peek();
    if (!asked || !on.peek()) return;
    answer.value = { ...asked, paint: undefined, refused: '' };
    send({ sha256: asked.sha256, x: asked.at[0], y: asked.at[1] });
  });
  const stopHand = effect(() => {
    if (!on.value) return;
    const letGo = session.takePen(tapHand(test.ask));
    return () => {
      letGo();
      last.abort();
      answer.value = undefined;
    };
  });
  /** Notes want the pen. */
  const stopForNotes = effect(() => {
    if (session.panel.value === 'notes') on.value = false;
  });
  const stops = [stopAsking, stopHand, stopForNotes];
  return test;
}

/** A pen set down is a tap too; what it drew meanwhile is nothing. */
function tapHand(ask: PaintTest['ask']): PenHand {
  return {
    pen(phase, [first]) {
      if (phase === 'down' && first) ask([first.x, first.y]);
    },
    hover: () => undefined,
    tap: ask,
  };
}

/** The answer that speaks of what lies on the paper now: of that drawing, and of its newest take. */
export const answerHere = (session: Session): ReadonlySignal<Painted | undefined> =>
  computed(() => {
    const painted = paintTestOf(session).answer.value;
    const here = session.onPaper.value;
    if (!painted || painted.level !== here?.level || painted.drawing !== here.drawing) return undefined;
    return cleanIn(session.shot.value, here)?.sha256 === painted.sha256 ? painted : undefined;
  });

const tint = 'rgb(70 92 190 / 42%)';
const spilt = 'rgb(70 92 190 / 16%)';
const runsKept = new WeakMap<PaintRuns, Path2D>();

function pathOf(runs: PaintRuns): Path2D {
  const known = runsKept.get(runs);
  if (known) return known;
  const path = new Path2D();
  for (let k = 0; k + 2 < runs.length; k += 3) {
    const [row = 0, from = 0, to = 0] = runs.subarray(k, k + 3);
    path.rect(from, row, to - from, 1);
  }
  runsKept.set(runs, path);
  return path;
}

/** The tint, flat; where paint runs out, paler, with a bridge at each gap. The unit is one px of the drawing. */
export function paintOfPaint(
  session: Session,
): ((context: CanvasRenderingContext2D, zoom: number) => void) | undefined {
  const { paint } = answerHere(session).peek() ?? {};
  if (!paint) return undefined;
  const { meant, runs, holds, through } = paint;
  return (context, zoom) => {
    if (!holds || through.length > 0) {
      context.fillStyle = spilt;
      context.fill(pathOf(runs));
    }
    context.fillStyle = tint;
    context.fill(pathOf(meant));
    for (const { between } of through) bridge(context, { between, meant: false }, (px) => px / zoom);
  };
}
