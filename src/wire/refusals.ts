/** A request turned down: `code` for programs, `reason` one sentence for the person. */
import * as v from 'valibot';

export const reasonSchema = v.object({ code: v.string(), reason: v.string() });
/** A picture that arrived changed, or of which the server has less than was said, or a body that fell silent: sent again. */
export const againCodes: ReadonlySet<string> = new Set(['hash', 'gap', 'silent']);
