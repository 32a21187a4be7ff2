/** A place on a drawing that a part of the desk has asked the hand for: the next stroke of pen or finger goes round it. */
import { type Signal, signal } from '@preact/signals';
import type { ChartPlace } from '../shot/model.ts';
import { perSession } from './per-session.ts';
import type { Session } from './session.ts';

export interface AskedPlace {
  readonly level: string;
  readonly drawing: string;
  /** Index of the part whose place it becomes; undefined for a new one. */
  readonly part: number | undefined;
  given(place: ChartPlace): void;
}

export const askedPlaceOf: (session: Session) => Signal<AskedPlace | undefined> = perSession(() =>
  signal<AskedPlace | undefined>(undefined),
);
