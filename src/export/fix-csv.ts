/** The fix list as a table for spreadsheets: RFC 4180, UTF-8. */
import { type ExposedAt, type FixRow, settlesOf, stateOfRow, wordsOfRow } from '../note/fix-list.ts';
import { writeCsv } from '../shot/csv.ts';

const columns = [
  'Nr',
  'Kind',
  'Level',
  'Drawing',
  'Role',
  'Take',
  'Frames',
  'Feet',
  'Timecode',
  'Field',
  'Place',
  'About',
  'Text',
  'Replies',
  'Who',
  'When',
  'State',
  'Redrawn',
  'Holds for',
  'Knock-on',
  'May settle',
] as const;

/**
 * One record a row, in the list's order and with its numbers; *May settle* gives those numbers. *Frames* are all that
 * it is on screen, *Feet* and *Timecode* those where an exposure starts; `redrawn` says what its takes say of a row,
 * where takes were compared. Times are ISO 8601 in UTC. A byte order mark comes first, without which spreadsheets read UTF-8 wrongly.
 */
export function fixCsv(rows: readonly FixRow[], redrawn?: (row: FixRow) => string): string {
  const records = rows.map((row) => [
    row.number,
    row.source,
    row.level,
    row.drawing,
    row.notation.words,
    row.onRough ? 'rough' : (row.take ?? ''),
    row.exposedAt.map(framesOf).join(' '),
    row.exposedAt.map(({ feet }) => feet).join(' '),
    row.exposedAt.map(({ timecode }) => timecode).join(' '),
    row.place.chart,
    row.place.words,
    row.about,
    wordsOfRow(row),
    row.replies.map(({ who, text }) => `${who}: ${text}`).join('\n'),
    row.who,
    row.whenMs === undefined ? '' : new Date(row.whenMs).toISOString(),
    stateOfRow(row),
    redrawn?.(row) ?? '',
    row.drawings.join(' '),
    row.knockOn.join(' '),
    settlesOf(row, rows).join(' '),
  ]);
  return `\uFEFF${writeCsv([[...columns], ...records.map((record) => record.map(harmless))])}`;
}

/** `7–9`, `12`: with a dash that no spreadsheet takes for a day of a month. */
const framesOf = ({ frame, length }: ExposedAt): string =>
  length > 1 ? `${frame}–${frame + length - 1}` : String(frame);

/**
 * A text that a spreadsheet would run as a formula gets an apostrophe before it, which spreadsheets read as
 * "this is text" (OWASP, CSV injection: a cell that begins with = + - @, tab or carriage return). The
 * full-width forms are read as the plain ones by some.
 */
function harmless(value: string | number): string | number {
  return typeof value === 'string' && /^[\s]*[=+\-@\t\r＝＋－＠]/.test(value) ? `'${value}` : value;
}
