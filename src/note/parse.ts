/** What may come over a wire or out of a file, and what is said of the rest. */
import * as v from 'valibot';
import { sayIssue } from '../shot/shot-json.ts';
import { bodySchema, type Entry, entrySchema, id, stampSchema } from './entry.ts';

const kinds: ReadonlySet<string> = new Set(bodySchema.options.map((option) => option.entries.kind.literal));

/** What every version shares. The body of a later version is not ours to judge. */
const envelopeSchema = v.object({
  v: v.pipe(v.number(), v.safeInteger(), v.minValue(1)),
  id,
  shot: id,
  writer: v.object({
    id,
    name: v.pipe(v.string(), v.maxLength(200)),
    role: v.pipe(v.string(), v.maxLength(40)),
  }),
  stamp: stampSchema,
  body: v.looseObject({ kind: v.pipe(v.string(), v.minLength(1), v.maxLength(40)) }),
});

export type Parsed =
  | { readonly ok: true; readonly entry: Entry }
  | { readonly ok: false; readonly id: string | undefined; readonly reason: string };

/**
 * An entry from outside. One that a later version of the app made (a greater `v`, or a kind not known here)
 * is kept word for word and passed on; it travels as an `Entry`, and `isKnown` tells it apart. Every merge
 * leaves it out. The object given is returned itself, so that fields added later survive too.
 */
export function parseEntry(value: unknown): Parsed {
  const isOurs = looksKnown(value);
  const result = v.safeParse(isOurs ? entrySchema : envelopeSchema, value, { abortEarly: true });
  if (!result.success) return refuse(value, result.issues[0]);
  const entry = value as Entry;
  if (!(isOurs ? isDeepBeside(entry) : isDeep(entry))) return { ok: true, entry };
  return { ok: false, id: entry.id, reason: `it is nested more than ${deepest} deep` };
}

/** Entries are five deep. What is nested by the thousand fails wherever it is copied, and would stop a shot's sync. */
const deepest = 100;

/**
 * Of an entry that fits. The points of its strokes are numbers then, thousands of them, and are not looked at again:
 * that took as long as all other checks together.
 */
function isDeepBeside(entry: Entry): boolean {
  if (entry.body.kind !== 'pin' && entry.body.kind !== 'edit') return isDeep(entry);
  const { strokes = [], ...body } = entry.body;
  return (
    isDeep({ ...entry, body }) ||
    strokes.some((stroke) => isDeep({ ...stroke, points: [] }, deepest - strokeLevel))
  );
}

/** An entry, its body, its strokes. */
const strokeLevel = 3;

/** Ends at `deepest`, so that it may call itself. */
function isDeep(value: unknown, room = deepest): boolean {
  if (typeof value !== 'object' || value === null) return false;
  if (room === 0) return true;
  const parts: readonly unknown[] = Array.isArray(value) ? value : Object.values(value);
  return parts.some((part) => isDeep(part, room - 1));
}

function looksKnown(value: unknown): boolean {
  const claimed = value as { v?: unknown; body?: { kind?: unknown } } | null | undefined;
  return claimed?.v === 1 && typeof claimed.body?.kind === 'string' && kinds.has(claimed.body.kind);
}

/** False for an entry of a later version, whose body nothing here may read. */
export function isKnown(entry: Entry): boolean {
  return (entry.v as number) === 1 && kinds.has(entry.body.kind);
}

function refuse(value: unknown, issue: v.BaseIssue<unknown>): Parsed {
  const claimed = typeof value === 'object' && value !== null ? (value as { id?: unknown }).id : undefined;
  const field = v.getDotPath(issue) ?? 'the entry';
  return {
    ok: false,
    id: typeof claimed === 'string' ? claimed.slice(0, 100) : undefined,
    reason: `${field} does not fit: it ${sayIssue(issue)}`,
  };
}
