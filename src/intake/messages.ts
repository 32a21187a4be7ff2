/** What page and worker say to each other. */
import type { Made } from './types.ts';

export interface Request {
  readonly id: number;
  readonly file: ArrayBuffer;
  readonly pixels: boolean;
}

export type Response =
  | { readonly id: number; readonly made: Made }
  | { readonly id: number; readonly why: string; readonly todo: string };
