/** Is this a shot? Asked of everything that comes from a tablet, a pack or an older version. */
import * as v from 'valibot';
import { chartSchema } from './chart-schema.ts';
import { soundCharts } from './chart-tree.ts';
import { longestLabel } from './labels.ts';
import type { Level, Shot } from './model.ts';
import { fieldOf, sayIssue } from './shot-json.ts';

const count = v.pipe(v.number(), v.safeInteger(), v.minValue(1));
/** A million frames at 24 a second are eleven hours. Beyond, a mistyped number would fill the memory. */
const frame = v.pipe(count, v.maxValue(1_000_000));
const label = v.pipe(v.string(), v.minLength(1), v.maxLength(longestLabel));
const extra = v.optional(v.record(v.string(), v.unknown()));

/** An image by its content. */
const imageRefSchema = v.object({
  sha256: v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/, 'SHA-256')),
  width: count,
  height: count,
  mediaType: v.pipe(v.string(), v.maxLength(100)),
  byteLength: count,
});

const drawingSchema = v.object({
  label,
  role: v.optional(v.picklist(['key', 'breakdown', 'inbetween'])),
  chart: v.optional(chartSchema(label)),
  runsOn: v.optional(v.boolean()),
  rough: v.optional(imageRefSchema),
  takes: v.array(v.object({ number: count, image: imageRefSchema })),
  extra,
});

const levelSchema = v.object({
  name: v.pipe(v.string(), v.maxLength(200)),
  drawings: v.array(drawingSchema),
  exposures: v.array(v.object({ drawing: label, frame, length: frame })),
  exposuresGuessed: v.optional(v.boolean()),
  extra,
});

/** The shape of a shot. What a shape cannot say is checked by `checkShot`. */
const shotSchema = v.object({
  id: v.pipe(v.string(), v.minLength(1), v.maxLength(100)),
  title: v.pipe(v.string(), v.maxLength(1000)),
  fps: v.pipe(v.number(), v.minValue(1), v.maxValue(240)),
  fpsGuessed: v.optional(v.boolean()),
  sizePx: v.tuple([count, count]),
  levels: v.array(levelSchema),
  extra,
});

export type ShotCheck =
  | { readonly ok: true; readonly shot: Shot }
  | { readonly ok: false; readonly faults: readonly string[] };

/**
 * Checks a value of unknown origin: shape, level names and labels unique, takes ascending, exposures in
 * order and of known drawings, charts sound and without a circle. One sentence a fault. Never throws.
 */
export function checkShot(value: unknown): ShotCheck {
  const result = v.safeParse(shotSchema, value);
  if (!result.success)
    return {
      ok: false,
      faults: result.issues.map((issue) => `Shot, ${fieldOf(issue)}: ${sayIssue(issue)}.`),
    };
  const shot = result.output;
  const twice = repeated(shot.levels.map((level) => level.name)).map(
    (name) => `Two levels are called “${name}”.`,
  );
  const faults = [...twice, ...shot.levels.flatMap(faultsOfLevel)];
  return faults.length === 0 ? { ok: true, shot } : { ok: false, faults };
}

function faultsOfLevel(level: Level): string[] {
  const where = level.name ? `Level ${level.name}: ` : '';
  const labels = new Set(level.drawings.map((drawing) => drawing.label));
  const faults = [
    ...repeated(level.drawings.map((drawing) => drawing.label)).map(
      (twice) => `two drawings are labelled ${twice}.`,
    ),
    ...level.drawings
      .filter(({ takes }) => takes.some((take, i) => i > 0 && take.number <= (takes[i - 1]?.number ?? 0)))
      .map((drawing) => `the takes of drawing ${drawing.label} are not in order.`),
    ...level.exposures
      .filter(({ drawing }) => !labels.has(drawing))
      .map(({ drawing, frame }) => `frame ${frame} exposes drawing ${drawing}, which is not there.`),
    ...level.exposures
      .filter(({ frame }, i) => {
        const before = level.exposures[i - 1];
        return before && frame < before.frame + before.length;
      })
      .map(
        ({ drawing, frame }) => `drawing ${drawing} starts at frame ${frame} while another is still held.`,
      ),
    ...soundCharts(level.drawings).faults,
  ];
  return faults.map((fault) => where + fault);
}

function repeated(names: readonly string[]): string[] {
  const seen = new Set<string>();
  const twice = new Set<string>();
  for (const name of names) (seen.has(name) ? twice : seen).add(name);
  return [...twice];
}
