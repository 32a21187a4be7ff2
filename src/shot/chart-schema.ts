/**
 * What a chart may be: a fraction between two drawings, and parts with their own (a sleeve on the third while the body lies
 * on the half). On paper a triangle and a line of words beside the chart (common practice, no source).
 */
import * as v from 'valibot';
import type { ChartPart } from './model.ts';

/** More than anyone writes beside a chart; each of them is looked at for every patch of line. */
export const mostParts = 20;
/** A hand's outline, thinned: more points say nothing more. */
export const mostOutlinePoints = 200;
export const longestPartWords = 80;
/** No picture is larger than this, nor lies farther off. */
const farthestPx = 100_000;

const fractionSchema = v.pipe(v.number(), v.gtValue(0), v.ltValue(1));

const coordinate = v.pipe(v.number(), v.minValue(-farthestPx), v.maxValue(farthestPx));
const extent = v.pipe(v.number(), v.gtValue(0), v.maxValue(farthestPx));
const edge = v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(farthestPx));

const placeSchema = v.pipe(
  v.object({
    box: v.optional(v.pipe(v.tuple([coordinate, coordinate, extent, extent]), v.readonly())),
    outline: v.optional(
      v.pipe(
        v.array(v.pipe(v.tuple([coordinate, coordinate]), v.readonly())),
        v.minLength(3),
        v.maxLength(mostOutlinePoints),
        v.readonly(),
      ),
    ),
    sizePx: v.optional(v.pipe(v.tuple([edge, edge]), v.readonly())),
  }),
  v.check(
    ({ box, outline }) => (box === undefined) !== (outline === undefined),
    ({ input: { box } }) =>
      box === undefined
        ? 'has neither a box nor an outline, but must have one'
        : 'has a box and an outline, but must have only one',
  ),
);

const partSchema = v.object({
  place: placeSchema,
  words: v.pipe(
    v.string(),
    v.maxLength(longestPartWords),
    v.check((words) => /\S/.test(words), 'is empty, but must say what the part is'),
    v.check((words) => !/[\p{Cc}\p{Cs}]/u.test(words), 'has control characters or half characters in it'),
  ),
  fraction: fractionSchema,
});

/** Told apart by their words, as on paper. */
const partsSchema = v.pipe(
  v.array(partSchema),
  v.maxLength(mostParts),
  v.check(
    (parts) => doubled(parts) === undefined,
    ({ input }) => `says “${doubled(input)}” twice, but each part needs words of its own`,
  ),
  v.readonly(),
);

/** With the label as whoever asks reads it. */
export const chartSchema = <L extends v.GenericSchema<string>>(label: L) =>
  v.object({ from: label, to: label, fraction: fractionSchema, parts: v.optional(partsSchema) });

const doubled = (parts: readonly ChartPart[]): string | undefined =>
  parts.find(({ words }, n) => parts.findIndex((other) => sameWords(other.words, words)) < n)?.words;

const sameWords = (one: string, other: string): boolean => one.trim() === other.trim();

/** Whether a part of these words stands in the list. */
export function hasPart(parts: readonly ChartPart[], words: string): boolean {
  return parts.some((part) => sameWords(part.words, words));
}
