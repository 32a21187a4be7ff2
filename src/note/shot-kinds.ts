/** Bodies of what a shot is made of: title and rate, levels, drawings, roughs, takes. `shot-of.ts` reads them. */
import * as v from 'valibot';

const label = v.pipe(v.string(), v.minLength(1), v.maxLength(64));
const level = v.pipe(v.string(), v.maxLength(200));
/** Fields of a `shot.json` that this version does not know. */
const extra = v.optional(v.record(v.string(), v.unknown()));
const pixels = v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(100_000));

/** A picture by its content; see `ImageRef`. */
const imageSchema = v.object({
  sha256: v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/, 'no SHA-256')),
  width: pixels,
  height: pixels,
  mediaType: v.pipe(v.string(), v.maxLength(100)),
  byteLength: v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(1e10)),
});

export const shotKinds = [
  v.object({
    /** Each field by its last writer; a field left out is not spoken of. */
    kind: v.literal('shot'),
    title: v.optional(v.pipe(v.string(), v.maxLength(1000))),
    /** Frames a second; null: nobody knows, so 24 is guessed. */
    fps: v.optional(v.nullable(v.pipe(v.number(), v.minValue(1), v.maxValue(240)))),
    extra,
  }),
  v.object({
    /** A level is there, also without a drawing. Each field by its last writer. */
    kind: v.literal('level'),
    level,
    /** True: its exposure sheet came with it, so a drawing that no entry exposes is not on screen. */
    sheet: v.optional(v.boolean()),
    extra,
  }),
  v.object({
    /** From the lowest up; levels it does not name come after, by their first appearance. */
    kind: v.literal('levels'),
    order: v.pipe(v.array(level), v.minLength(1), v.maxLength(1000)),
  }),
  v.object({
    kind: v.literal('drawing'),
    level,
    drawing: label,
    extra,
    /** Whether it runs on after the pose; left out, that is not spoken of. By its last writer. */
    runsOn: v.optional(v.boolean()),
  }),
  v.object({ kind: v.literal('rough'), level, drawing: label, image: v.nullable(imageSchema) }),
  v.object({
    kind: v.literal('take'),
    level,
    drawing: label,
    image: imageSchema,
    /** The writer knew that an earlier take has this picture, and means to go back to it. */
    again: v.optional(v.boolean()),
  }),
] as const;
