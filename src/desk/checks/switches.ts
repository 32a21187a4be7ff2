/** What of the checks is switched on. Small: it belongs to the desk's first load, the rest comes later. */
import { type Signal, signal } from '@preact/signals';
import { perSession } from '../per-session.ts';

/** What lies over the line. */
export const lineOverlays = ['none', 'weight', 'drift', 'openings'] as const;
export type LineOverlay = (typeof lineOverlays)[number];

export interface Switches {
  readonly over: Signal<LineOverlay>;
  readonly curves: Signal<boolean>;
  readonly paint: Signal<boolean>;
  /** Nothing is measured until it is switched back. */
  readonly stopped: Signal<boolean>;
  /** The checks were started: they stay, whatever lies on the paper. */
  begun: boolean;
}

export const switchesOf = perSession(
  (): Switches => ({
    over: signal('none'),
    curves: signal(false),
    paint: signal(false),
    stopped: signal(false),
    begun: false,
  }),
);
