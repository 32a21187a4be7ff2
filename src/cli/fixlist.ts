import { availableParallelism } from 'node:os';
import { parseArgs } from 'node:util';
import { findingsOf } from '../check/findings.ts';
import { type SaidShot, saidShot } from '../check/said-shot.ts';
import { annotationPage } from '../export/annotations.ts';
import { fixCsv } from '../export/fix-csv.ts';
import { fixPdf } from '../export/fix-pdf.ts';
import { nodeLetter, nodePainter } from '../export/node/node-painter.ts';
import { packTexts, readPack } from '../export/pack.ts';
import { lackingWords } from '../export/pdf-lacking.ts';
import { type DiskShot, readShot } from '../intake/node/read-shot.ts';
import { writeShotZip } from '../intake/write-shot.ts';
import type { Entry } from '../note/entry.ts';
import { type FixFinding, type FixRow, fixList } from '../note/fix-list.ts';
import { imagesOf } from '../shot/images-of.ts';
import { measure } from './check.ts';
import { print } from './print.ts';
import { put, type Written } from './put.ts';
import { type RedrawnWords, redrawnOnDisk } from './redrawn.ts';

const usage = `fairpeg fixlist FOLDER|PACK --csv|--pdf|--jsonld|--pack FILE …

Writes what is to be mended in working order: the notes that lie beside the drawings (fairpeg/entries.json in
the shot's folder or in a pack), and what the checks find. Several files may be asked for at once.

  --csv FILE      a table for spreadsheets
  --pdf FILE      for print; --paper A4 (as usual) or Letter
  --jsonld FILE   W3C Web Annotations
  --pack FILE     a zip of drawings, notes and findings that a tablet opens and merges
  --no-check      leaves the checks out; findings that lie in a pack are used
  --non-drop      timecode counts without drop-frame, at 29.97 and 59.94 frames a second

One FILE may be -, which is standard output.
Exit code: 0 nothing to mend, 1 something to mend, 2 it could not be written.`;

const forms = ['csv', 'pdf', 'jsonld', 'pack'] as const;

/** Everything that a file is made of. */
interface List {
  readonly disk: DiskShot;
  readonly entries: readonly Entry[];
  readonly findings: readonly FixFinding[];
  readonly rows: readonly FixRow[];
  readonly paper: 'A4' | 'Letter';
  readonly redrawn: RedrawnWords;
}

/** `fairpeg fixlist`: 0 no row, 1 rows, 2 it could not be made. */
export async function run(args: readonly string[]): Promise<number> {
  const options = {
    csv: { type: 'string' },
    jsonld: { type: 'string' },
    pdf: { type: 'string' },
    pack: { type: 'string' },
    paper: { type: 'string', default: 'A4' },
    'no-check': { type: 'boolean' },
    'non-drop': { type: 'boolean' },
    help: { type: 'boolean', short: 'h' },
  } as const;
  const { values, positionals } = parseArgs({ args: [...args], allowPositionals: true, options });
  if (values.help) {
    print(process.stdout, usage);
    return 0;
  }
  const [path, ...more] = positionals;
  const wanted = forms.flatMap((form) => (values[form] === undefined ? [] : [{ form, file: values[form] }]));
  const { paper } = values;
  const toStdout = wanted.filter(({ file }) => file === '-').length;
  if (path === undefined || more.length > 0 || wanted.length === 0 || toStdout > 1 || !isPaper(paper)) {
    print(
      process.stderr,
      'fairpeg fixlist: Name one shot, and --csv, --pdf, --jsonld or --pack with a FILE; --paper is A4 or Letter.\nSee fairpeg fixlist --help.',
    );
    return 2;
  }
  const disk = await readShot(path);
  const beside = readPack(disk.shot, disk.beside);
  for (const sentence of beside.odd) print(process.stderr, sentence);
  if (beside.broken) return 2;
  // Roles, charts and tolerances that were set on a tablet decide what is measured and found.
  const said = saidShot(disk.shot, beside.entries);
  const findings = values['no-check'] ? beside.findings : await findingsIn(disk, said);
  const rows = fixList(said.shot, said.notes, findings, values['non-drop'] ? { dropFrame: false } : {});
  const redrawn = await redrawnOnDisk(disk, said.shot, said.notes, rows);
  const list: List = { disk, entries: beside.entries, findings, rows, paper, redrawn };
  for (const { form, file } of wanted) await put(file, await writers[form](list));
  return rows.length > 0 ? 1 : 0;
}

function isPaper(paper: string): paper is List['paper'] {
  return paper === 'A4' || paper === 'Letter';
}

async function findingsIn(disk: DiskShot, { shot, tolerances }: SaidShot): Promise<FixFinding[]> {
  const workers = availableParallelism();
  const measures = await measure({ ...disk, shot }, { workers, tolerances, quiet: true });
  return findingsOf(shot, measures, tolerances);
}

const writers: Readonly<Record<(typeof forms)[number], (list: List) => Written | Promise<Written>>> = {
  csv: ({ rows, redrawn }) => fixCsv(rows, redrawn.all),
  jsonld: ({ disk, rows }) => `${JSON.stringify(annotationPage(disk.shot.id, rows), undefined, 2)}\n`,
  pdf: pdfOf,
  pack: ({ disk, entries, findings }) =>
    writeShotZip(disk.shot, (sha256) => bytesOf(disk, sha256), {
      extra: packTexts(disk.shot, entries, findings),
    }),
};

async function pdfOf({ disk, rows, paper, redrawn }: List): Promise<Uint8Array> {
  const painter = nodePainter((sha256) => bytesOf(disk, sha256));
  const { title } = disk.shot;
  const lacking = await lackingWords(title, rows, nodeLetter, 'This machine');
  if (lacking) print(process.stderr, lacking);
  const printed = new Date().toISOString().slice(0, 10);
  return fixPdf(rows, { title, paper, painter, printed, redrawn: redrawn.telling });
}

async function bytesOf(disk: DiskShot, sha256: string): Promise<Uint8Array<ArrayBuffer> | undefined> {
  const image = imagesOf(disk.shot).find((one) => one.sha256 === sha256);
  return image && disk.bytes(image);
}
