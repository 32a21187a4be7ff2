/** Entries asked for and posted. They travel as JSON texts, one a line, and are kept word for word. */
import * as v from 'valibot';
import { id } from '../note/entry.ts';

export const entriesType = 'application/x-ndjson';

const whole = v.pipe(v.string(), v.digits(), v.transform(Number), v.safeInteger());

/** `after`: place in the order of arrival; `limit`: entries a page at most. */
export const pageQuerySchema = v.object({
  shot: id,
  after: v.optional(whole, '0'),
  limit: v.optional(v.pipe(whole, v.minValue(1), v.maxValue(2000)), '1000'),
});

export const pageSchema = v.object({ entries: v.array(v.unknown()), cursor: v.number(), more: v.boolean() });

/** Why an entry was turned down. `early`: worth sending again later; any other reason stands. */
export type RefusedCode = 'form' | 'writer' | 'role' | 'owner' | 'early' | 'clash';

/** A later server may have further codes. */
export const postedSchema = v.object({
  accepted: v.array(v.string()),
  refused: v.array(v.object({ id: v.optional(v.string()), code: v.string(), reason: v.string() })),
});
export type Posted = v.InferOutput<typeof postedSchema>;
