/** Where the desk is to open, when another screen leads to a place on it: the next one to open takes it. */
import { batch } from '@preact/signals';
import type { DrawingRef } from '../shot/drawing-ref.ts';
import type { Session } from './session.ts';

interface Arrival {
  readonly shotId: string;
  readonly at?: DrawingRef | undefined;
  /** The panel that is to stand open. */
  readonly panel?: string | undefined;
}

let wanted: Arrival | undefined;

/** Called before the desk's address is gone to. A later call takes the place of an earlier one. */
export function arriveAt(arrival: Arrival): void {
  wanted = arrival;
}

/** Puts a desk that has just opened where it was led to, if it was. */
export function arrive(session: Session): void {
  const arrival = wanted;
  wanted = undefined;
  if (!arrival || arrival.shotId !== session.shot.peek().id) return;
  const { at, panel } = arrival;
  batch(() => {
    if (at) {
      session.act({ do: 'level', level: at.level });
      session.act({ do: 'drawing', label: at.drawing });
    }
    if (panel) session.panel.value = panel;
  });
}
