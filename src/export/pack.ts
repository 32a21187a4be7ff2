/**
 * What makes a zip of a shot a pack: everything said of it and everything found on it, as texts beside its
 * drawings. Another tablet takes it in and merges by union, so that a pack may come back and come twice.
 */
import * as v from 'valibot';
import { reasonOf, SentenceError } from '../error/sentence.ts';
import type { Entry } from '../note/entry.ts';
import type { FixFinding } from '../note/fix-list.ts';
import { readNotesJson, writeNotesJson } from '../note/notes-json.ts';
import { type DrawingRef, drawingOf } from '../shot/drawing-ref.ts';
import type { Shot } from '../shot/model.ts';
import { cleanOf } from '../shot/takes.ts';

const finite = v.pipe(v.number(), v.finite());
const short = v.pipe(v.string(), v.maxLength(200));

const box = v.tuple([finite, finite, finite, finite]);

const findingSchema = v.object({
  key: v.pipe(v.string(), v.minLength(1), v.maxLength(100)),
  check: short,
  level: short,
  drawing: short,
  bbox: box,
  spots: v.exactOptional(v.pipe(v.array(box), v.maxLength(10_000))),
  message: v.pipe(v.string(), v.maxLength(10_000)),
  lineDigest: short,
  /** SHA-256 of the take it was found on. */
  image: short,
});

const findingsSchema = v.object({ v: v.literal(1), findings: v.array(v.unknown()) });

/**
 * Texts to lie beside the drawings of `shot` (as it is shown; what was said of it is among the entries). The
 * findings are those of the newest takes.
 */
export function packTexts(
  shot: Shot,
  entries: readonly Entry[],
  findings: readonly FixFinding[],
): { readonly path: string; readonly text: string }[] {
  const found = findings.map((finding) => {
    const { key, check, level, drawing, bbox, spots, message, lineDigest } = finding;
    const image = newestImage(shot, finding);
    return { key, check, level, drawing, bbox, ...(spots && { spots }), message, lineDigest, image };
  });
  return [
    { path: 'fairpeg/entries.json', text: writeNotesJson(entries, { shot: shot.id }) },
    {
      path: 'fairpeg/findings.json',
      text: `${JSON.stringify({ format: 'fairpeg findings', v: 1, findings: found }, undefined, 1)}\n`,
    },
  ];
}

export interface PackRead {
  readonly entries: readonly Entry[];
  readonly findings: readonly FixFinding[];
  /** One sentence for everything that was left out. */
  readonly odd: readonly string[];
  /** A whole file could not be read. */
  readonly broken: boolean;
}

/**
 * What lies beside a shot, as `name` and text. Entries of another shot and findings on takes that are no
 * longer the newest are left out. Never throws: a file that cannot be read is named in `odd`.
 */
export function readPack(
  shot: Shot,
  beside: readonly { readonly name: string; readonly path: string; readonly text: string }[],
): PackRead {
  const odd: string[] = [];
  let broken = false;
  const read = <T>(name: string, reader: (text: string, path: string) => readonly T[]): readonly T[] => {
    const file = beside.find((one) => one.name === name);
    if (!file) return [];
    try {
      return reader(file.text, file.path);
    } catch (error) {
      const why = reasonOf(error);
      broken = true;
      odd.push(`${file.path}: ${why}. Nothing was taken from it; mend it or write the pack again.`);
      return [];
    }
  };
  const entries = read('entries.json', (text, path) => {
    const notes = readNotesJson(text);
    odd.push(...notes.odd.map((sentence) => `${path}: ${sentence} It was left out.`));
    const others = notes.entries.filter((entry) => entry.shot !== shot.id);
    if (others.length > 0) odd.push(`${path}: ${otherShot(others)}`);
    return notes.entries.filter((entry) => entry.shot === shot.id);
  });
  const findings = read('findings.json', (text) => readFindings(shot, text));
  return { entries, findings, odd, broken };
}

function otherShot(others: readonly Entry[]): string {
  const [first] = others;
  const are = others.length === 1 ? 'one entry speaks' : `${others.length} entries speak`;
  return `${are} of another shot (“${first?.shot}”) and ${others.length === 1 ? 'was' : 'were'} left out.`;
}

function readFindings(shot: Shot, text: string): FixFinding[] {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw new SentenceError('format', 'it is not JSON', { cause: error });
  }
  const file = v.safeParse(findingsSchema, value);
  if (!file.success) throw new SentenceError('format', 'it has no list “findings” of format 1');
  return file.output.findings.flatMap((one) => {
    const parsed = v.safeParse(findingSchema, one);
    if (!parsed.success) return [];
    const { image, ...finding } = parsed.output;
    return image !== '' && image === newestImage(shot, finding) ? [finding] : [];
  });
}

function newestImage(shot: Shot, ref: DrawingRef): string {
  const drawing = drawingOf(shot, ref);
  return (drawing && cleanOf(drawing)?.sha256) ?? '';
}
