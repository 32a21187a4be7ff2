/** What the other servers of a house have open, as they tell it: by pass and by address, never more than counts and times. */
import * as v from 'valibot';

/** What one server has open. Requests of a client are told from an eighth of its limit on. */
export interface ToldOpen {
  readonly requestsOfPass: Readonly<Record<string, number>>;
  readonly requestsOfAddress: Readonly<Record<string, number>>;
  /** When each stream of a pass was opened, in ms since 1970. */
  readonly streamsOfPass: Readonly<Record<string, readonly number[]>>;
  readonly streamsOfAddress: Readonly<Record<string, number>>;
}

const counts = v.record(v.string(), v.number());
const toldSchema = v.object({
  requestsOfPass: counts,
  requestsOfAddress: counts,
  streamsOfPass: v.record(v.string(), v.array(v.number())),
  streamsOfAddress: counts,
});

export interface OpenElsewhere {
  hear(told: readonly string[]): void;
  count(what: 'requestsOfPass' | 'requestsOfAddress' | 'streamsOfAddress', key: string | undefined): number;
  /** When the streams of a pass were opened. */
  streamTimes(passId: string): readonly number[];
}

export function openElsewhere(): OpenElsewhere {
  let others: readonly ToldOpen[] = [];
  return {
    hear(told) {
      // One of another version may tell what is not understood here.
      others = told.flatMap((text) => {
        const read = v.safeParse(v.pipe(v.string(), v.parseJson(), toldSchema), text);
        return read.success ? [read.output] : [];
      });
    },
    count: (what, key) =>
      key === undefined ? 0 : others.reduce((sum, { [what]: counted }) => sum + (counted[key] ?? 0), 0),
    streamTimes: (passId) => others.flatMap(({ streamsOfPass }) => streamsOfPass[passId] ?? []),
  };
}
