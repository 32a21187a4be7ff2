/** To and fro between the drawing on the paper and the one that lay there before it. */
import { effect, type Signal, signal } from '@preact/signals';
import { perSession } from './per-session.ts';
import type { Session } from './session.ts';
import { table } from './table.ts';

interface Was {
  readonly level: string;
  readonly drawing: string;
}

const lastOf = perSession((): Signal<Was | undefined> => signal(undefined));

/** Remembers which drawing a hand left. A motion leaves none: its drawings run by themselves. */
export function rememberLast(session: Session): () => void {
  let now: Was | undefined;
  return effect(() => {
    const { level, drawing, motion } = session.model.value;
    if (motion !== 'still') return;
    if (now && (now.level !== level || now.drawing !== drawing)) lastOf(session).value = now;
    now = { level, drawing };
  });
}

export const canQuickFlip = (session: Session): boolean =>
  lastOf(session).value?.level === session.model.value.level;

export function quickFlip(session: Session): void {
  const last = lastOf(session).peek();
  if (last && last.level === session.model.peek().level) session.act({ do: 'drawing', label: last.drawing });
}

/** The button on the side of a pen: what it does is set on this table. */
export function penButton(session: Session, down: boolean): void {
  if (table.peek().penButton === 'the other layer') session.hold(down);
  else if (down) quickFlip(session);
}
