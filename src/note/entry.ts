/**
 * Entries: immutable records of what someone did to a shot. The state of a shot is a pure function of
 * its set of entries (see `merge.ts`); sets merge by union.
 */
import * as v from 'valibot';
import { chartSchema } from '../shot/chart-schema.ts';
import { houseRules } from './house-rules.ts';
import { shotKinds } from './shot-kinds.ts';

const label = v.pipe(v.string(), v.maxLength(64));
const level = v.pipe(v.string(), v.maxLength(200));
const finite = v.pipe(v.number(), v.finite());
const positiveInt = v.pipe(v.number(), v.integer(), v.minValue(1));
/** A million frames are eleven hours at 24 a second. */
const frames = v.pipe(positiveInt, v.maxValue(1_000_000));

/** By hand: a schema asked number by number took four fifths of the time that checking a note takes. */
function isPoints(value: unknown): boolean {
  if (!Array.isArray(value) || value.length > 30_000 || value.length % 3 !== 0) return false;
  return value.every((number) => Number.isFinite(number));
}

/**
 * One stroke: flat triples x, y, pressure. x and y in px of the drawing (`sizePx` of its pin), pressure
 * 0..1. A stroke keeps its place when a new take has another size: scale by the two sizes.
 */
export const strokeSchema = v.object({
  colour: v.picklist(['red', 'blue', 'green', 'black']),
  /** Nominal width in px of the drawing at pressure ½. */
  widthPx: v.pipe(finite, v.minValue(0.1), v.maxValue(400)),
  points: v.custom<number[]>(isPoints, 'at most 10,000 points of three numbers each: x, y, pressure'),
});

export const aboutSchema = v.picklist(['line', 'weight', 'volume', 'spacing', 'missing', 'extra', 'other']);
export const roleSchema = v.picklist(['key', 'breakdown', 'inbetween']);
export const noteStateSchema = v.picklist(['open', 'fixed', 'approved', 'reopened']);
export const drawingStateSchema = v.picklist(['rough', 'in clean-up', 'clean', 'approved']);
const text = v.pipe(v.string(), v.maxLength(10_000));
/** NUL and half surrogate pairs are what databases choke on, and no id needs control characters. */
export const id = v.pipe(
  v.string(),
  v.minLength(1),
  v.maxLength(100),
  v.regex(/^[^\p{Cc}\p{Cs}]*$/u, 'no control characters and no half characters'),
);

/**
 * SHA-256 of the newest clean, by drawing: of those a note holds for besides the one it was made on, as they were
 * then. One that had no clean is absent.
 */
const onSchema = v.record(label, v.pipe(v.string(), v.maxLength(64)));

export const bodySchema = v.variant('kind', [
  ...shotKinds,
  v.object({
    kind: v.literal('pin'),
    level,
    drawing: label,
    /** Every drawing the note holds for, `drawing` included. */
    drawings: v.pipe(v.array(label), v.minLength(1), v.maxLength(2000)),
    /** SHA-256 of the take (or rough) it was made on. */
    image: v.pipe(v.string(), v.maxLength(64)),
    on: v.optional(onSchema),
    sizePx: v.tuple([positiveInt, positiveInt]),
    at: v.tuple([finite, finite]),
    strokes: v.pipe(v.array(strokeSchema), v.maxLength(500)),
    about: aboutSchema,
    text,
    /** The finding it was made from, if any. */
    finding: v.optional(id),
  }),
  v.object({ kind: v.literal('reply'), to: id, text }),
  v.object({
    kind: v.literal('edit'),
    to: id,
    text: v.optional(text),
    about: v.optional(aboutSchema),
    drawings: v.optional(v.pipe(v.array(label), v.minLength(1), v.maxLength(2000))),
    /** Of drawings added. */
    on: v.optional(onSchema),
    strokes: v.optional(v.pipe(v.array(strokeSchema), v.maxLength(500))),
  }),
  v.object({ kind: v.literal('state'), to: id, state: noteStateSchema }),
  v.object({ kind: v.literal('withdraw'), to: id }),
  v.object({ kind: v.literal('role'), level, drawing: label, role: v.nullable(roleSchema) }),
  v.object({
    kind: v.literal('chart'),
    level,
    drawing: label,
    /** With all its parts. A version before they came keeps them with the entry, and shows the chart without. */
    chart: v.nullable(chartSchema(label)),
  }),
  v.object({
    kind: v.literal('exposure'),
    level,
    drawing: label,
    /** Every exposure of this drawing; empty takes it off the sheet. */
    exposures: v.pipe(v.array(v.object({ frame: frames, length: frames })), v.maxLength(10_000)),
  }),
  v.object({ kind: v.literal('drawing state'), level, drawing: label, state: drawingStateSchema }),
  v.object({
    /** How the shot is to be worked off; the latest holds as a whole. */
    kind: v.literal('plan'),
    /** The evening by which it is wanted, a calendar date; null for none. */
    due: v.nullable(v.pipe(v.string(), v.isoDate())),
    /** ISO 8601: Monday 1 … Sunday 7. */
    workingDays: v.pipe(v.array(v.picklist([1, 2, 3, 4, 5, 6, 7])), v.minLength(1), v.maxLength(7)),
    people: v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(99)),
    /** One person's, counted on until there is data. */
    drawingsADay: v.pipe(finite, v.minValue(0.1), v.maxValue(500)),
  }),
  houseRules,
  v.object({
    /** How far a measure may go before it is a finding (`check/tolerances.ts`); null is the default. */
    kind: v.literal('tolerance'),
    name: v.pipe(v.string(), v.minLength(1), v.maxLength(40)),
    value: v.nullable(v.pipe(finite, v.minValue(0), v.maxValue(1000))),
  }),
  v.object({
    /** Where a place that is followed lies on one drawing, because a person said so; null takes it back. */
    kind: v.literal('path dot'),
    /** Made by who followed it; the latest of each place and drawing holds. */
    place: id,
    level,
    drawing: label,
    /** SHA-256 of the clean drawing whose px `at` speaks in. */
    image: v.pipe(v.string(), v.maxLength(64)),
    at: v.nullable(v.tuple([finite, finite])),
  }),
  v.object({
    kind: v.literal('dismiss'),
    level,
    drawing: label,
    /** Stable key of the finding, and a digest of the line at its place: when that changes, it returns. */
    finding: id,
    lineDigest: v.pipe(v.string(), v.maxLength(100)),
    reason: text,
    /** True takes an earlier dismissal back. */
    undone: v.optional(v.boolean()),
  }),
]);

/** The last millisecond of the year 9999: what every export can still write as a date. */
export const lastWallMs = 253_402_300_799_999;
/** More than anyone writes within a millisecond; beyond it the clock carries into the milliseconds. */
export const lastCounter = 2 ** 31 - 1;

/** Hybrid logical clock stamp (Kulkarni et al. 2014): wall milliseconds, a counter. Ties fall to `id`. */
export const stampSchema = v.object({
  wallMs: v.pipe(v.number(), v.safeInteger(), v.minValue(0), v.maxValue(lastWallMs)),
  counter: v.pipe(v.number(), v.safeInteger(), v.minValue(0), v.maxValue(lastCounter)),
});

export const entrySchema = v.object({
  v: v.literal(1),
  /** Made by the writer, unique for ever (a random UUID). */
  id,
  shot: id,
  /** The person's id and the name to show. The server checks both against the pass. */
  writer: v.object({
    id,
    name: v.pipe(v.string(), v.maxLength(200)),
    role: v.picklist(['artist', 'director', 'assistant']),
  }),
  stamp: stampSchema,
  /** The writer's own clock when it was said, milliseconds: for people. The order goes by `stamp`. */
  saidMs: v.optional(v.pipe(v.number(), v.safeInteger(), v.minValue(0), v.maxValue(lastWallMs))),
  body: bodySchema,
});

/** When it was said, by the writer's own clock as far as that was written down. */
export function saidMs(entry: Pick<Entry, 'stamp' | 'saidMs'>): number {
  return entry.saidMs ?? entry.stamp.wallMs;
}

export type Stroke = v.InferOutput<typeof strokeSchema>;
export type About = v.InferOutput<typeof aboutSchema>;
export type NoteState = v.InferOutput<typeof noteStateSchema>;
export type DrawingState = v.InferOutput<typeof drawingStateSchema>;
export type Plan = Extract<Body, { kind: 'plan' }>;
export type HouseRules = Extract<Body, { kind: 'house rules' }>;
export type Body = v.InferOutput<typeof bodySchema>;
export type Stamp = v.InferOutput<typeof stampSchema>;
export type Entry = v.InferOutput<typeof entrySchema>;
export type Person = Entry['writer'];
