/**
 * `shot.json`: what a shot is called, how fast it runs, its drawings' roles and charts, its exposures.
 * Pictures lie beside it in folders. Everything may be left out. JSON Schema: `public/schemas/shot.schema.json`.
 */
import * as v from 'valibot';
import { chartSchema } from './chart-schema.ts';
import { longestLabel, tidyLabel } from './labels.ts';
import type { Drawing, Extra, Level, Shot } from './model.ts';

const text = v.pipe(v.string(), v.maxLength(1000));
const label = v.pipe(v.string(), v.transform(tidyLabel), v.minLength(1), v.maxLength(longestLabel));
const fromOne = v.pipe(v.number(), v.integer(), v.minValue(1));
const file = v.pipe(v.string(), v.minLength(1), v.maxLength(1000));

const drawingSchema = v.looseObject({
  label,
  role: v.optional(v.picklist(['key', 'breakdown', 'inbetween'])),
  chart: v.optional(chartSchema(label)),
  runsOn: v.optional(v.boolean()),
  /** Paths from the shot's folder, for those whose names alone would not say it. */
  rough: v.optional(file),
  takes: v.optional(v.array(v.object({ number: fromOne, file }))),
});

const levelSchema = v.looseObject({
  name: v.optional(v.pipe(v.string(), v.maxLength(200)), ''),
  drawings: v.optional(v.array(drawingSchema), []),
  exposures: v.optional(v.array(v.object({ drawing: label, frame: fromOne, length: fromOne }))),
});

const shotFileSchema = v.looseObject({
  /** Format of this file. Absent means 1; a newer one is read as far as it is understood. */
  version: v.optional(fromOne),
  /** The same shot on another tablet keeps this id. */
  id: v.optional(v.pipe(v.string(), v.minLength(1), v.maxLength(100))),
  title: v.optional(text),
  fps: v.optional(v.pipe(v.number(), v.minValue(1), v.maxValue(240))),
  levels: v.optional(v.array(levelSchema), []),
});

/** `shot.json` as read: fields this version does not know are still in it. */
export type ShotFile = v.InferOutput<typeof shotFileSchema>;
export type ShotFileLevel = v.InferOutput<typeof levelSchema>;
export type ShotFileDrawing = v.InferOutput<typeof drawingSchema>;

export type ShotFileResult =
  | { readonly ok: true; readonly file: ShotFile }
  /** One sentence a fault, each naming its field, e.g. `levels[0].drawings[2].role`. */
  | { readonly ok: false; readonly faults: readonly string[] };

/** Reads the text of a `shot.json`. Never throws. */
export function readShotJson(json: string): ShotFileResult {
  let value: unknown;
  try {
    value = JSON.parse(json.replace(/^\uFEFF/, ''));
  } catch (error) {
    return {
      ok: false,
      faults: [`shot.json is not JSON: ${error instanceof Error ? error.message : 'unreadable'}.`],
    };
  }
  if (Array.isArray(value))
    return { ok: false, faults: ['shot.json, the file: is a list, but must be an object.'] };
  const result = v.safeParse(shotFileSchema, value);
  if (result.success) return { ok: true, file: result.output };
  return {
    ok: false,
    faults: result.issues.map((issue) => `shot.json, ${fieldOf(issue)}: ${sayIssue(issue)}.`),
  };
}

type Issue = v.BaseIssue<unknown>;

/** Where an issue lies, as a programmer would write it: `levels[0].drawings[2].role`. */
export function fieldOf(issue: Issue): string {
  const path = (issue.path ?? [])
    .map(({ key }) => (typeof key === 'number' ? `[${key}]` : `.${String(key)}`))
    .join('');
  return path.replace(/^\./, '') || 'the file';
}

/** What valibot found, in a sentence without its own prefix. */
export function sayIssue(issue: Issue): string {
  const must: Record<string, string> = {
    picklist: 'one of ',
    gt_value: 'greater than ',
    lt_value: 'less than ',
  };
  if (issue.received === 'undefined') return 'is missing';
  // A check of our own says the whole of it.
  if (issue.type === 'check') return issue.message;
  const length = lengthIssue(issue);
  if (length) return length;
  return `is ${issue.received}, but must be ${must[issue.type] ?? ''}${wanted(issue)}`;
}

/** A text's or a list's length is no value of it: *has 90 letters, but may have at most 80*. */
function lengthIssue({ type, input, received, requirement }: Issue): string | undefined {
  if (type !== 'max_length' && type !== 'min_length') return undefined;
  const many = Array.isArray(input) ? 'entries' : 'letters';
  return `has ${received} ${many}, but ${type === 'max_length' ? 'may have at most' : 'must have at least'} ${String(requirement)}`;
}

function wanted({ type, expected, requirement }: Issue): string {
  if (type === 'integer') return 'a whole number';
  if (type === 'gt_value' || type === 'lt_value') return String(requirement);
  return (expected ?? 'something else')
    .replaceAll('"', '')
    .replaceAll(' | ', ', ')
    .replace(/^>=/, 'at least ')
    .replace(/^<=/, 'at most ');
}

/** Paths under which pictures are written out, from the shot's folder. */
export interface PicturePaths {
  rough(level: Level, drawing: Drawing): string;
  take(level: Level, drawing: Drawing, take: Drawing['takes'][number]): string;
}

/** The text of a shot's `shot.json`, unknown fields included. File paths are written when `paths` is given. */
export function writeShotJson(shot: Shot, paths?: PicturePaths): string {
  const file: ShotFile = {
    ...shot.extra,
    version: 1,
    id: shot.id,
    title: shot.title,
    ...(!shot.fpsGuessed && { fps: shot.fps }),
    levels: shot.levels.map((level) => ({
      ...level.extra,
      name: level.name,
      drawings: level.drawings.map((drawing) => writeDrawing(level, drawing, paths)),
      ...(!level.exposuresGuessed && {
        exposures: level.exposures.map(({ drawing, frame, length }) => ({ drawing, frame, length })),
      }),
    })),
  };
  return `${JSON.stringify(file, null, 2)}\n`;
}

function writeDrawing(level: Level, drawing: Drawing, paths?: PicturePaths): ShotFileDrawing {
  const { label, role, chart, runsOn, rough, takes, extra } = drawing;
  return {
    ...extra,
    label,
    ...(role && { role }),
    ...(chart && { chart }),
    ...(runsOn && { runsOn }),
    ...(paths && rough && { rough: paths.rough(level, drawing) }),
    ...(paths &&
      takes.length > 0 && {
        takes: takes.map((take) => ({ number: take.number, file: paths.take(level, drawing, take) })),
      }),
  };
}

const known = new Set(
  [shotFileSchema, levelSchema, drawingSchema].flatMap((schema) => Object.keys(schema.entries)),
);

/** The fields of a read object that this version does not know; undefined when there are none. */
export function extraOf(part: ShotFile | ShotFileLevel | ShotFileDrawing): Extra | undefined {
  const extra = Object.entries(part).filter(([field]) => !known.has(field));
  return extra.length > 0 ? Object.fromEntries(extra) : undefined;
}
