/**
 * `exposure.csv`: which drawing is on screen when. Columns `level,drawing,frame,length` named in the first
 * record, in any order; `level` may be missing for a shot without levels; `length` may be missing or empty,
 * and then the drawing is held until the next one of its level starts (the last: two frames). Frames start
 * at 1. Other columns are left alone. `drawing` is a label; empty, `x` or `X` means nothing is shown.
 */
import { readCsv, writeCsv } from './csv.ts';
import { groupBy } from './group-by.ts';
import { tidyLabel } from './labels.ts';
import type { Exposure, Level } from './model.ts';

export interface ExposureSheet {
  /** By level name, each ascending by frame and not overlapping. */
  readonly levels: ReadonlyMap<string, readonly Exposure[]>;
  /** One sentence a row that was not taken or was cut short. */
  readonly faults: readonly string[];
}

interface Row {
  readonly level: string;
  readonly drawing: string;
  readonly frame: number;
  readonly length: number | undefined;
  readonly line: number;
}

const lastHold = 2;

/** Reads an exposure sheet. Rows that cannot be read are named in `faults`; the rest is taken. */
export function readExposureCsv(text: string): ExposureSheet {
  const [head, ...records] = readCsv(text);
  const columns = (head ?? []).map((name) => name.trim().toLowerCase());
  const missing = ['drawing', 'frame'].filter((name) => !columns.includes(name));
  if (missing.length > 0)
    return {
      levels: new Map(),
      faults: [`exposure.csv has no column named ${missing.join(' and no column named ')}.`],
    };
  const faults: string[] = [];
  const rows = records.flatMap((record, index) => {
    const row = readRow(columns, record, index + 2);
    if (typeof row !== 'string') return [row];
    faults.push(row);
    return [];
  });
  const levels = new Map<string, readonly Exposure[]>();
  for (const [level, ofLevel] of groupBy(rows, (row) => row.level))
    levels.set(level, layOut(ofLevel, faults));
  return { levels, faults };
}

function readRow(columns: readonly string[], record: readonly string[], line: number): Row | string {
  const cell = (name: string) => (record[columns.indexOf(name)] ?? '').trim();
  const frame = Number(cell('frame'));
  const length = cell('length') === '' ? undefined : Number(cell('length'));
  if (!isFrame(frame))
    return `exposure.csv, record ${line}, frame: “${cell('frame')}” is not a whole number from 1.`;
  if (length !== undefined && !isFrame(length))
    return `exposure.csv, record ${line}, length: “${cell('length')}” is not a whole number from 1.`;
  const drawing = /^x?$/i.test(cell('drawing')) ? '' : tidyLabel(cell('drawing'));
  return { level: cell('level').normalize('NFC'), drawing, frame, length, line };
}

function isFrame(value: number): boolean {
  return Number.isSafeInteger(value) && value >= 1;
}

/** Fills open lengths up to the next row, cuts overlaps, and leaves out the rows that show nothing. */
function layOut(rows: readonly Row[], faults: string[]): Exposure[] {
  const ordered = [...rows].sort((a, b) => a.frame - b.frame);
  return ordered.flatMap(({ drawing, frame, length, line }, index) => {
    const next = ordered[index + 1]?.frame;
    if (next === frame) {
      faults.push(
        `exposure.csv, record ${line}, frame: another drawing starts at frame ${frame} too; the later row counts.`,
      );
      return [];
    }
    const wanted = length ?? (next === undefined ? lastHold : next - frame);
    const fits = next === undefined ? wanted : Math.min(wanted, next - frame);
    if (fits < wanted)
      faults.push(
        `exposure.csv, record ${line}, length: cut from ${wanted} to ${fits}, where the next drawing starts.`,
      );
    return drawing ? [{ drawing, frame, length: fits }] : [];
  });
}

/** The exposure sheet of all levels, in level order. */
export function writeExposureCsv(levels: readonly Level[]): string {
  const rows = levels.flatMap(({ name, exposures }) =>
    exposures.map(({ drawing, frame, length }) => [name, drawing, frame, length]),
  );
  return writeCsv([['level', 'drawing', 'frame', 'length'], ...rows]);
}
