/** Wrong codes counted in the memory of one process. PostgreSQL counts those of all: `postgres/shared-limits.ts`. */
import { type Bucket, bucket } from '../limits.ts';
import type { Joining, Pass, PassStore } from './types.ts';

const tenMinutesS = 600;

/** `use` answers in the same turn, so that of guesses sent at one time each is counted before the next is looked at. */
export function countingGuesses(use: (joining: Joining) => Pass | undefined): PassStore['join'] {
  let counts: { readonly perAddress: Bucket; readonly inAll: Bucket; readonly whenMany: Bucket } | undefined;
  return async (joining) => {
    const { guesses, nowMs } = joining;
    const { from } = guesses;
    counts ??= {
      perAddress: bucket(guesses.perAddress, guesses.perAddress / tenMinutesS),
      inAll: bucket(guesses.inAll, guesses.inAll / tenMinutesS),
      whenMany: bucket(1, 1 / tenMinutesS),
    };
    const { perAddress, inAll, whenMany } = counts;
    if (!perAddress.has(from, nowMs)) return 'too many';
    // Many wrong ones from everywhere must lock nobody out: then each address has one guess, and a right
    // code still lets in.
    if (!inAll.has('', nowMs) && !whenMany.has(from, nowMs)) return 'too many';
    const pass = use(joining);
    if (pass) return pass;
    perAddress.take(from, nowMs);
    inAll.take('', nowMs);
    whenMany.take(from, nowMs);
    return 'wrong';
  };
}
