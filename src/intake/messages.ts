/** What a decode worker is asked, and what it answers. */
import type { Made } from './types.ts';

export interface MakeAsk {
  /** Handed over. */
  readonly file: ArrayBuffer;
  /** A digest of the pixels is wanted, too. */
  readonly pixels: boolean;
}

export type MakeAnswer = { readonly made: Made } | { readonly why: string; readonly todo: string };
