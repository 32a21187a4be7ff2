/** What a page (or Node's main thread) and a worker say to each other. */

export type ToWorker<Ask> =
  | { readonly id: number; readonly ask: Ask }
  /** Stop after the step you are at, and say so with the same number. */
  | { readonly pause: number }
  | { readonly resume: true };

export type FromWorker<Answer> =
  | { readonly id: number; readonly answer: Answer }
  /** Why, as part of a sentence. */
  | { readonly id: number; readonly failed: string }
  | { readonly paused: number };
