/** Runs play and roll: checks first what would flash, then lays each drawing down in its time. */
import { act, type DeskModel, playedFrames } from './model.ts';
import { modelInMotion } from './motion.ts';
import { safeRateOf } from './safe-rate.ts';
import type { Session } from './session.ts';

/** Why something runs slower than asked. */
export interface Caution {
  readonly motion: 'play' | 'roll';
  readonly askedPerSecond: number;
  readonly heldToPerSecond: number;
}

export interface MotionTold {
  begin(begun: DeskModel): void;
  show(next: DeskModel): void;
  over(): void;
  caution(caution: Caution | undefined): void;
}

/** A wait longer than this is told. */
const waitTellMs = 500;

/** Returns what stops it. Nothing moves before the flash check is through. */
export function startMotion(session: Session, motion: 'play' | 'roll', told: MotionTold): () => void {
  const stopped = new AbortController();
  let cancelFrame: (() => void) | undefined;

  async function run(): Promise<void> {
    const shot = session.shot.peek();
    const still = session.model.peek();
    const begun: DeskModel = { ...still, motion };
    const asked = motion === 'play' ? shot.fps * begun.pace : begun.rollPerSecond;
    told.begin(begun);
    const waiting = { says: 'Looking whether these drawings would flash …' };
    const cancelWait = session.clock.after(waitTellMs, () => {
      session.notice.value = waiting;
    });
    const safe = await safeRateOf(session, begun, asked, stopped.signal).finally(() => {
      cancelWait();
      if (session.notice.peek() === waiting) session.notice.value = undefined;
    });
    if (stopped.signal.aborted) return;
    const rate = Math.min(asked, safe);
    told.caution(rate < asked ? { motion, askedPerSecond: asked, heldToPerSecond: rate } : undefined);
    const startMs = session.clock.nowMs();
    const tick = (): void => {
      // The way of looking may change under way; only place and frame are the motion's.
      const next = modelInMotion(
        shot,
        { ...begun, loop: session.model.peek().loop },
        session.clock.nowMs() - startMs,
        rate,
      );
      const now = session.model.peek();
      // A screen slower than the shot may have skipped the last frame: it is where a run ends.
      const at = next ?? act(shot, now, { do: 'frame', frame: playedFrames(shot, begun).to });
      if (at.drawing !== now.drawing || at.frame !== now.frame) {
        told.show({ ...now, drawing: at.drawing, frame: at.frame, direction: at.direction });
      }
      if (!next) {
        told.over();
        return;
      }
      cancelFrame = session.clock.onFrame(tick);
    };
    tick();
  }

  run().catch(() => {
    if (!stopped.signal.aborted) told.over();
  });
  return () => {
    stopped.abort();
    cancelFrame?.();
  };
}
