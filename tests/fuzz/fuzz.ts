/** What every fuzz is: a property over made-up input, and how often it is tried. */
import type * as fc from 'fast-check';

export interface Fuzz {
  readonly name: string;
  /** Tries in `npm test`, with fixed seeds; `npm run fuzz` makes ten times as many. */
  readonly tries: number;
  /** Opens what the property stands on; `close` afterwards. */
  readonly open: () => Opened | Promise<Opened>;
}

export interface Opened {
  readonly property: fc.IRawProperty<unknown>;
  readonly close?: () => Promise<void>;
}

/** For a property that stands on nothing. */
export const alone = (name: string, tries: number, property: fc.IRawProperty<unknown>): Fuzz => ({
  name,
  tries,
  open: () => ({ property }),
});
