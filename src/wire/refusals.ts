/** A request turned down: `code` for programs, `reason` one sentence for the person. */
import * as v from 'valibot';

export const reasonSchema = v.object({ code: v.string(), reason: v.string() });
/** Beside code `images`: the pictures that must be sent first. */
export const missingSchema = v.object({ missing: v.array(v.string()) });
/** A picture that arrived changed, or of which the server has less than was said, or a body that fell silent: sent again. */
export const againCodes: ReadonlySet<string> = new Set(['hash', 'gap', 'silent']);
