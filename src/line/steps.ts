/** A measure that can be left between two steps and gone on with later, by whoever runs it. */
export type Steps<T> = Generator<undefined, T, undefined>;

/** All of it at once. */
export function allSteps<T>(steps: Steps<T>): T {
  for (;;) {
    const { done, value } = steps.next();
    if (done) return value;
  }
}
