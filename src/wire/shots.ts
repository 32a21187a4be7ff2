/** The shots that a studio offers: what their entries make, in short. The rest comes with the entries. */
import * as v from 'valibot';

const offeredSchema = v.object({
  id: v.string(),
  title: v.string(),
  /** Changes with the shot as its entries make it. */
  version: v.string(),
  /** Place of its last entry in the order of arrival. */
  last: v.number(),
  /** The id of the entry there; an earlier server does not say. */
  lastId: v.optional(v.string()),
  drawings: v.number(),
  clean: v.number(),
  /** Of all its pictures. */
  byteLength: v.number(),
  /** It lies in the server's shots folder too, and takes come from there as well. */
  inFolder: v.optional(v.boolean(), false),
  /**
   * SHA-256 of pictures that its entries name and the server has lost: whoever holds one puts it up again. Not always all
   * of them: others are told once these came. An earlier server does not say.
   */
  lacking: v.optional(v.array(v.string()), []),
});
export const shotsSchema = v.object({ shots: v.array(offeredSchema) });
export type OfferedShot = v.InferOutput<typeof offeredSchema>;
