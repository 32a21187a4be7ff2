/** Who is asking, joining, let in. */
import * as v from 'valibot';
import { entrySchema, id } from '../note/entry.ts';

const { role, name } = entrySchema.entries.writer.entries;
/** What a person may do follows from it: see `note/may.ts`. */
export const roles = role.options;

/** An id made by a tablet for the person who holds it. */
const personId = v.pipe(id, v.minLength(8));

/** Writers that are no person (`note/origin.ts`): nobody can join with one. */
export const reservedIds: ReadonlySet<string> = new Set(['studio-folder', 'origin']);

export const meSchema = v.object({
  server: v.string(),
  needsPass: v.boolean(),
  person: v.nullable(v.object({ id: v.string(), name: v.string(), role })),
  owner: v.boolean(),
  limits: v.object({ bodyBytes: v.number(), entriesPerBatch: v.number() }),
  /** See `version.ts`; an earlier server does not say. */
  version: v.optional(v.number(), 1),
});

/** `person`: the id under which this tablet wrote so far. */
export const joinSchema = v.object({
  code: v.pipe(v.string(), v.maxLength(40)),
  person: v.optional(personId),
});

export const passSchema = v.object({
  id: v.string(),
  name: v.string(),
  role,
  owner: v.boolean(),
  personId: v.optional(v.string()),
  madeMs: v.number(),
  joinedMs: v.optional(v.number()),
  revokedMs: v.optional(v.number()),
});
export const passesSchema = v.object({ passes: v.array(passSchema) });

export const wantedPassSchema = v.object({
  name: v.pipe(name, v.trim(), v.minLength(1), v.maxLength(100)),
  role,
  owner: v.optional(v.boolean()),
  /** A person who has a pass and gets another tablet. */
  personId: v.optional(personId),
});

export const newPassSchema = v.object({
  pass: passSchema,
  code: v.string(),
  /** Where other tablets find the studio, the best address first. */
  urls: v.optional(v.array(v.pipe(v.string(), v.url())), []),
});

export type Me = v.InferOutput<typeof meSchema>;
export type GivenPass = v.InferOutput<typeof passSchema>;
export type NewPass = v.InferOutput<typeof newPassSchema>;
