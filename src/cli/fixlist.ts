import { readFile, writeFile } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { findingsOf } from '../check/findings.ts';
import { defaultTolerances } from '../check/tolerances.ts';
import { annotationPage } from '../export/annotations.ts';
import { fixCsv } from '../export/fix-csv.ts';
import { fixPdf } from '../export/fix-pdf.ts';
import { nodePainter } from '../export/node/node-painter.ts';
import { type DiskShot, readShot } from '../intake/node/read-shot.ts';
import { applyEntries } from '../note/apply.ts';
import type { Entry } from '../note/entry.ts';
import { type FixRow, fixList } from '../note/fix-list.ts';
import { mergeNotes } from '../note/merge.ts';
import { parseEntry } from '../note/parse.ts';
import { measure } from './check.ts';
import { print } from './print.ts';

const usage = `fairpeg fixlist FOLDER --csv FILE | --pdf FILE | --jsonld FILE [--paper A4|Letter] [--no-check]

Writes what is to be mended in working order: the notes in FOLDER/fairpeg/entries.json, if there, and what
the checks find. FILE - is standard output. --no-check leaves the checks out.

Exit code: 0 nothing to mend, 1 something to mend, 2 it could not be written.`;

/** `fairpeg fixlist`: 0 no row, 1 rows, 2 it could not be made. */
export async function run(args: readonly string[]): Promise<number> {
  const options = {
    csv: { type: 'string' },
    jsonld: { type: 'string' },
    pdf: { type: 'string' },
    paper: { type: 'string', default: 'A4' },
    'no-check': { type: 'boolean' },
    help: { type: 'boolean', short: 'h' },
  } as const;
  const { values, positionals } = parseArgs({ args: [...args], allowPositionals: true, options });
  if (values.help) {
    print(process.stdout, usage);
    return 0;
  }
  const [folder, ...more] = positionals;
  const named = [values.csv, values.pdf, values.jsonld].filter((name) => name !== undefined);
  const [file] = named;
  const { paper } = values;
  const paperKnown = paper === 'A4' || paper === 'Letter';
  if (folder === undefined || more.length > 0 || file === undefined || named.length > 1 || !paperKnown) {
    print(
      process.stderr,
      'fairpeg fixlist: Name one shot, and one of --csv, --pdf or --jsonld with a FILE; --paper is A4 or Letter.\nSee fairpeg fixlist --help.',
    );
    return 2;
  }
  const disk = await readShot(folder);
  const entries = await entriesIn(folder);
  const tolerances = defaultTolerances;
  const findings = values['no-check']
    ? []
    : findingsOf(
        disk.shot,
        await measure(disk, { workers: availableParallelism(), tolerances, quiet: true }),
        tolerances,
      );
  const rows = fixList(applyEntries(disk.shot, entries), mergeNotes(entries), findings);
  const written = values.csv
    ? fixCsv(rows)
    : values.pdf
      ? await pdfOf(disk, rows, paper)
      : `${JSON.stringify(annotationPage(disk.shot.id, rows), undefined, 2)}\n`;
  if (file === '-') process.stdout.write(written);
  else await writeFile(file, written);
  return rows.length > 0 ? 1 : 0;
}

/** Entries kept beside a shot; an unreadable one is named and left out. None when there is no such file. */
async function entriesIn(folder: string): Promise<Entry[]> {
  const path = join(folder, 'fairpeg/entries.json');
  const text = await readFile(path, 'utf8').catch(() => undefined);
  if (text === undefined) return [];
  const { entries } = JSON.parse(text) as { entries?: unknown };
  if (!Array.isArray(entries)) throw new Error(`${path} has no list “entries”.`);
  return entries.flatMap((value) => {
    const parsed = parseEntry(value);
    if (parsed.ok) return [parsed.entry];
    print(process.stderr, `${path}: ${parsed.id ?? 'an entry'} was left out: ${parsed.reason}.`);
    return [];
  });
}

function pdfOf(disk: DiskShot, rows: readonly FixRow[], paper: 'A4' | 'Letter'): Promise<Uint8Array> {
  const images = disk.shot.levels.flatMap(({ drawings }) =>
    drawings.flatMap(({ rough, takes }) => [...(rough ? [rough] : []), ...takes.map(({ image }) => image)]),
  );
  const painter = nodePainter(async (sha256) => {
    const image = images.find((image) => image.sha256 === sha256);
    return image && disk.bytes(image);
  });
  const printed = new Date().toISOString().slice(0, 10);
  return fixPdf(rows, { title: `${disk.shot.title}: fix list`, paper, painter, printed });
}
