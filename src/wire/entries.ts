/** Entries asked for and posted. They travel as JSON texts, one a line, and are kept word for word. */
import * as v from 'valibot';
import { id } from '../note/entry.ts';

export const entriesType = 'application/x-ndjson';

/** Of one entry's JSON text: more is refused. A note of 500 long strokes has a tenth of it. */
const longestText = 1_000_000;
export const isTooLong = (json: string): boolean => json.length > longestText;

/** Of one page's texts together, unless its first entry alone is longer. */
export const pageChars = 4_000_000;

/** How far a stamp may run ahead of the server's clock, milliseconds. */
export const mostAheadMs = 24 * 3_600_000;

const whole = v.pipe(v.string(), v.digits(), v.transform(Number), v.safeInteger());

/** `after`: place in the order of arrival; `limit`: entries a page at most. */
export const pageQuerySchema = v.object({
  shot: id,
  after: v.optional(whole, '0'),
  limit: v.optional(v.pipe(whole, v.minValue(1), v.maxValue(2000)), '1000'),
});

export const pageSchema = v.object({
  entries: v.array(v.unknown()),
  /** The server's seal over each entry, in the same order; an earlier server has none. */
  seals: v.optional(v.array(v.string()), []),
  cursor: v.number(),
  more: v.boolean(),
  /** Id of the entry at place `after`; null for 0, and where this server has none there. */
  at: v.optional(v.nullable(v.string()), null),
});

/** An entry given back to the server that sealed it: taken from anybody's pass, whoever wrote it. */
const sealedSchema = v.object({ sealed: v.pipe(v.string(), v.maxLength(100)), entry: v.unknown() });
export type Sealed = v.InferOutput<typeof sealedSchema>;

/** A line of a post as it was parsed; undefined for a bare entry (which has no field `sealed`). */
export function readSealed(line: unknown): Sealed | undefined {
  const result = v.safeParse(sealedSchema, line);
  return result.success ? result.output : undefined;
}

export const sealedLine = (entry: unknown, seal: string): string => JSON.stringify({ sealed: seal, entry });

/** Over what a seal is made: the same on every side, with whatever spaces an entry came. */
export const sealedText = (entry: unknown): string => JSON.stringify(entry);

/**
 * Why an entry was turned down. `early`: it speaks of an entry or a picture that has not arrived there; `clock`: its
 * stamp is too far ahead. Any other reason stands until the version of either side changes.
 */
export type RefusedCode = 'form' | 'size' | 'writer' | 'role' | 'owner' | 'early' | 'clock' | 'clash';

/** Refusals that leave an entry waiting: it is sent again later. */
export const laterCodes: ReadonlySet<string> = new Set<RefusedCode>(['early', 'clock']);

/** A later server may have further codes. */
export const postedSchema = v.object({
  accepted: v.array(v.string()),
  refused: v.array(v.object({ id: v.optional(v.string()), code: v.string(), reason: v.string() })),
});
export type Posted = v.InferOutput<typeof postedSchema>;
