/** Runs play and roll: checks first what would flash, then lays each drawing down in its time. */
import type { DeskModel } from './model.ts';
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
    const asked = motion === 'play' ? shot.fps : begun.rollPerSecond;
    told.begin(begun);
    const cancelWait = session.clock.after(waitTellMs, () => {
      session.notice.value = { says: 'Looking whether these drawings would flash …' };
    });
    const safe = await safeRateOf(session, begun, asked, stopped.signal).finally(cancelWait);
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
      if (!next) {
        told.over();
        return;
      }
      const now = session.model.peek();
      if (next.drawing !== now.drawing || next.frame !== now.frame) {
        told.show({ ...now, drawing: next.drawing, frame: next.frame, direction: next.direction });
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
