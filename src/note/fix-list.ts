/** The fix list: notes and findings as rows, in the order in which a shot is mended. */
import type { Box } from '../line/picture.ts';
import { knockOn } from '../shot/chart-tree.ts';
import { drawingKey, drawingLabelled, drawingOf, levelNamed } from '../shot/drawing-ref.ts';
import { exposuresOf } from '../shot/exposures.ts';
import { type FrameLabels, frameLabels } from '../shot/frame-labels.ts';
import type { Drawing, Shot } from '../shot/model.ts';
import { type Notation, notationOf } from '../shot/notation.ts';
import { workingOrder } from '../shot/working-order.ts';
import type { NoteState, Stroke } from './entry.ts';
import { type FieldPlace, fieldPlace, middleOf } from './field-place.ts';
import type { Note, Notes } from './merge.ts';
import { standingsOf } from './standing.ts';

/** What the fix list needs to know of a finding of room `check`. */
export interface FixFinding {
  readonly check: string;
  readonly level: string;
  readonly drawing: string;
  /** Px of the drawing's own image. */
  readonly bbox: Box;
  /** Where it is at several places: each, all within `bbox`. */
  readonly spots?: readonly Box[];
  readonly message: string;
  readonly key: string;
  readonly lineDigest: string;
}

export interface FixListOptions {
  /** False counts timecode without drop-frame, at the rates that have it. */
  readonly dropFrame?: boolean;
}

/** An exposure: the labels of its first frame, and how many frames it holds. */
export interface ExposedAt extends FrameLabels {
  readonly length: number;
}

interface FixReply {
  readonly who: string;
  readonly whenMs: number;
  readonly text: string;
}

export interface FixRow {
  /** The pin's id, or `finding:` and the finding's key. */
  readonly id: string;
  /** Its place in the whole list, from 1. */
  readonly number: number;
  readonly source: 'note' | 'finding';
  readonly level: string;
  /** The drawing it stands at: of those a note holds for, the first in working order. */
  readonly drawing: string;
  /** All it holds for, in working order. */
  readonly drawings: readonly string[];
  readonly notation: Notation;
  /** The take it was made on; undefined for a rough, or for a picture no longer among the takes. */
  readonly take: number | undefined;
  /** It was made on the rough. */
  readonly onRough: boolean;
  /** Each exposure of `drawing`. */
  readonly exposedAt: readonly ExposedAt[];
  readonly place: FieldPlace;
  /** Px of a picture of `sizePx`. */
  readonly box: Box;
  /** Of a finding at several places: each, all within `box`. */
  readonly spots?: readonly Box[];
  readonly sizePx: readonly [number, number];
  /** SHA-256 of the picture it was made on. */
  readonly image: string | undefined;
  readonly strokes: readonly Stroke[];
  readonly about: string;
  readonly text: string;
  readonly replies: readonly FixReply[];
  /** Empty for a finding. */
  readonly who: string;
  readonly whenMs: number | undefined;
  readonly state: NoteState;
  /** Drawings that hang on `drawings` by their charts: to be looked at again once these change. */
  readonly knockOn: readonly string[];
  /** Ids of unsettled rows on those drawings that this fix may settle: same matter, or the same place. */
  readonly maySettle: readonly string[];
}

/**
 * Every note that was not withdrawn, and every finding that stands open (`standing.ts`). Notes on drawings the
 * shot does not have stand at the end, lost never.
 */
export function fixList(
  shot: Shot,
  notes: Notes,
  findings: readonly FixFinding[] = [],
  options: FixListOptions = {},
): FixRow[] {
  const order = new Map(workingOrder(shot.levels).map((ref, index) => [drawingKey(ref), index]));
  const rankOf = (level: string, label: string): number =>
    order.get(drawingKey({ level, drawing: label })) ?? Infinity;
  const standing = notes.notes.filter((note) => !note.withdrawn);
  const rows = [
    ...standing.map((note) => noteRow(shot, note, rankOf, options)),
    ...standingsOf(notes, findings).flatMap((one) =>
      one.standing === 'open' ? findingRow(shot, one.finding, options) : [],
    ),
  ].sort(
    (a, b) =>
      compareRanks(rankOf(a.level, a.drawing), rankOf(b.level, b.drawing)) ||
      compareOnPaper(a.place, b.place) ||
      (a.id < b.id ? -1 : Number(a.id > b.id)),
  );
  return rows.map((row, index) => ({ ...row, number: index + 1, maySettle: maySettle(row, rows) }));
}

/** What stands there to read, also of a note that is only drawn. */
export const wordsOfRow = ({ text, about }: Pick<FixRow, 'text' | 'about'>): string =>
  text || `About the ${about}`;

/** Nobody says a state of what was measured. */
export const stateOfRow = ({ source, state }: Pick<FixRow, 'source' | 'state'>): NoteState | 'measured' =>
  source === 'finding' ? 'measured' : state;

export function isSettled(row: Pick<FixRow, 'state'>): boolean {
  return row.state === 'fixed' || row.state === 'approved';
}

function noteRow(
  shot: Shot,
  note: Note,
  rankOf: (level: string, label: string) => number,
  options: FixListOptions,
): FixRow {
  const { body, writer, stamp } = note.pin;
  const drawings = [...note.drawings].sort((a, b) =>
    compareRanks(rankOf(body.level, a), rankOf(body.level, b)),
  );
  const drawing = drawings[0] ?? body.drawing;
  const box = boundsOf(note.strokes, body.at);
  return {
    id: note.id,
    number: 0,
    source: 'note',
    ...standsAt(shot, body.level, drawing, drawings, options),
    take: takeOf(drawingOf(shot, body), body.image),
    onRough: drawingOf(shot, body)?.rough?.sha256 === body.image,
    place: fieldPlace(middleOf(box), body.sizePx),
    box,
    sizePx: body.sizePx,
    image: body.image,
    strokes: note.strokes,
    about: note.about,
    text: note.text,
    replies: note.replies
      .filter((reply) => !reply.withdrawn)
      .map(({ entry, text }) => ({ who: entry.writer.name, whenMs: entry.stamp.wallMs, text })),
    who: writer.name,
    whenMs: stamp.wallMs,
    state: note.state,
    maySettle: [],
  };
}

function findingRow(shot: Shot, finding: FixFinding, options: FixListOptions): FixRow {
  const newest = drawingOf(shot, finding)?.takes.at(-1);
  const sizePx = newest ? ([newest.image.width, newest.image.height] as const) : shot.sizePx;
  return {
    id: `finding:${finding.key}`,
    number: 0,
    source: 'finding',
    ...standsAt(shot, finding.level, finding.drawing, [finding.drawing], options),
    take: newest?.number,
    onRough: false,
    place: fieldPlace(middleOf(finding.bbox), sizePx),
    box: finding.bbox,
    ...(finding.spots && { spots: finding.spots }),
    sizePx,
    image: newest?.image.sha256,
    strokes: [],
    about: finding.check,
    text: finding.message,
    replies: [],
    who: '',
    whenMs: undefined,
    state: 'open',
    maySettle: [],
  };
}

function standsAt(
  shot: Shot,
  levelName: string,
  drawing: string,
  drawings: readonly string[],
  { dropFrame }: FixListOptions,
): Pick<FixRow, 'level' | 'drawing' | 'drawings' | 'notation' | 'exposedAt' | 'knockOn'> {
  const level = levelNamed(shot, levelName);
  const hanging = level ? new Set(drawings.flatMap((label) => knockOn(level, label))) : new Set<string>();
  return {
    level: levelName,
    drawing,
    drawings,
    notation: notationOf(drawingLabelled(level, drawing) ?? { label: drawing, takes: [] }),
    exposedAt: level
      ? exposuresOf(level, drawing).map(({ frame, length }) => ({
          ...frameLabels(frame, shot.fps, dropFrame),
          length,
        }))
      : [],
    knockOn: (level?.drawings ?? [])
      .map(({ label }) => label)
      .filter((label) => hanging.has(label) && !drawings.includes(label)),
  };
}

function takeOf(drawing: Drawing | undefined, sha256: string): number | undefined {
  return drawing?.takes.find((take) => take.image.sha256 === sha256)?.number;
}

/** The box round all points of the strokes, or the pinned point alone with no extent. */
function boundsOf(strokes: readonly Stroke[], [atX, atY]: readonly [number, number]): Box {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { points } of strokes)
    for (let i = 0; i + 1 < points.length; i += 3) {
      const [x = atX, y = atY] = [points[i], points[i + 1]];
      [left, right] = [Math.min(left, x), Math.max(right, x)];
      [top, bottom] = [Math.min(top, y), Math.max(bottom, y)];
    }
  return left > right ? [atX, atY, 0, 0] : [left, top, right - left, bottom - top];
}

/** `Infinity` for a drawing the shot does not have; two of them are equal. */
function compareRanks(a: number, b: number): number {
  return a === b ? 0 : a - b;
}

/** As one reads: from the top in bands of two fields, in a band from the left. */
function compareOnPaper(a: FieldPlace, b: FieldPlace): number {
  const band = (place: FieldPlace): number => Math.floor(-place.north / 2);
  return band(a) - band(b) || a.east - b.east || b.north - a.north;
}

function maySettle(row: FixRow, rows: readonly FixRow[]): string[] {
  const hanging = new Set(row.knockOn);
  return rows
    .filter(
      (other) =>
        other.id !== row.id &&
        other.level === row.level &&
        !isSettled(other) &&
        hanging.has(other.drawing) &&
        (other.about === row.about || isNear(other.place, row.place)),
    )
    .map(({ id }) => id);
}

/** Two fields, a sixth of the half paper: what hangs on a drawing has moved a little. */
function isNear(a: FieldPlace, b: FieldPlace): boolean {
  return Math.hypot(a.east - b.east, a.north - b.north) <= 2;
}

/** The numbers of the rows that a row may settle; those that were left out of `rows` have none. */
export function settlesOf(row: FixRow, rows: readonly FixRow[]): number[] {
  if (row.maySettle.length === 0) return [];
  const settled = new Set(row.maySettle);
  return rows.filter(({ id }) => settled.has(id)).map(({ number }) => number);
}

/**
 * `12 to mend, 3 fixed, 1 approved`; `Nothing to mend` when all is settled, `Nothing so far` while drawings are still
 * being measured.
 */
export function countWords(rows: readonly FixRow[], measuring = false): string {
  const count = (state: FixRow['state']): number => rows.filter((row) => row.state === state).length;
  const open = rows.filter((row) => !isSettled(row)).length;
  const parts = [
    open > 0 ? `${open} to mend` : measuring ? 'Nothing so far' : 'Nothing to mend',
    ...(['fixed', 'approved'] as const).flatMap((state) =>
      count(state) > 0 ? [`${count(state)} ${state}`] : [],
    ),
  ];
  return parts.join(', ');
}
