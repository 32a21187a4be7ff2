/** Drawings done anew: as new takes of the shot, or as files to hand out. */
import type { Body } from '../../note/entry.ts';
import { drawingOf } from '../../shot/drawing-ref.ts';
import type { ImageRef } from '../../shot/model.ts';
import { cleanOf } from '../../shot/takes.ts';
import type { Bridge } from '../../work/bridge.ts';
import { each, inLanes } from '../../work/lanes.ts';
import type { Session } from '../session.ts';
import type { Redo, RedrawAnswer, RedrawAsk, Redrawn } from './messages.ts';

export interface ToRedraw {
  readonly level: string;
  readonly drawing: string;
  /** The take that is done anew. */
  readonly image: ImageRef;
  readonly redo: Redo;
}

interface Making {
  readonly worker: Bridge<RedrawAsk, RedrawAnswer>;
  readonly signal: AbortSignal;
  readonly onProgress: (share: number) => void;
}

/** Each that changes is given to `take`, a few at a time. Rejects with one sentence; nothing of the shot is changed here. */
export async function redrawAll(
  items: readonly ToRedraw[],
  { worker, signal, onProgress }: Making,
  take: (item: ToRedraw, redrawn: Redrawn) => Promise<void>,
): Promise<void> {
  let done = 0;
  const one = async (item: ToRedraw): Promise<void> => {
    const ask = { kind: 'redraw', sha256: item.image.sha256, redo: item.redo } as const;
    const answer = await worker.ask(ask, { signal });
    if ('redrawn' in answer && answer.redrawn) await take(item, answer.redrawn);
    done++;
    onProgress(done / items.length);
  };
  await inLanes(worker.size, each(items), one, signal);
}

/** New takes of all of them, said in one step that one undo takes back. Resolves to a sentence of what was left out. */
export async function takeAnew(
  session: Session,
  items: readonly ToRedraw[],
  says: (count: number) => string,
  making: Making,
): Promise<string> {
  const kept = new Map<ToRedraw, Redrawn>();
  await redrawAll(items, making, async (item, redrawn) => {
    const { ref, file, thumb, flip } = redrawn;
    await session.shelf.keepImage({ ref, file, thumb, flip });
    kept.set(item, redrawn);
  });
  making.signal.throwIfAborted();
  const shot = session.shot.peek();
  // In the order in which they were asked for, whichever was done first.
  const whole = items.flatMap((item) => {
    const redrawn = kept.get(item);
    return redrawn ? [{ item, redrawn }] : [];
  });
  const still = whole.filter(({ item: { level, drawing, image } }) => {
    const found = drawingOf(shot, { level, drawing });
    return found && cleanOf(found)?.sha256 === image.sha256;
  });
  const bodies = still.map(({ item: { level, drawing }, redrawn: { ref } }): Body => {
    const has = drawingOf(shot, { level, drawing })?.takes.some(({ image }) => image.sha256 === ref.sha256);
    return { kind: 'take', level, drawing, image: ref, ...(has && { again: true }) };
  });
  if (bodies.length > 0) session.say(says(bodies.length), bodies);
  const told = [...new Set(still.flatMap(({ redrawn }) => redrawn.told))];
  if (items.length > whole.length)
    told.push(`${drawings(items.length - whole.length)} had nothing to change.`);
  if (whole.length > still.length)
    told.push(
      `${drawings(whole.length - still.length)} got a newer take meanwhile, and were left as they are.`,
    );
  return told.join(' ');
}

const drawings = (count: number): string => (count === 1 ? 'One drawing' : `${count} drawings`);
