/** What a live stream tells (server-sent events, WHATWG HTML 9.2): that something is new, never the thing itself. */
import * as v from 'valibot';

export const hintSchema = v.variant('kind', [
  v.object({ kind: v.literal('entries'), shot: v.string(), last: v.number() }),
  v.object({ kind: v.literal('shots') }),
]);
export type Hint = v.InferOutput<typeof hintSchema>;

/** The server is heard at least so often, milliseconds. */
export const beatMs = 15_000;
/** After more than two missed beats a stream is dead, whatever it says. */
export const silentStreamMs = 35_000;
