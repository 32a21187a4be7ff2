/** `fairpeg contact`: all drawings of a shot as small pictures on pages. */
import { parseArgs } from 'node:util';
import { saidShot } from '../check/said-shot.ts';
import { contactCells } from '../export/contact/cells.ts';
import { contactPdf } from '../export/contact/contact-pdf.ts';
import { contactPngs, pageNames } from '../export/contact/contact-png.ts';
import type { ContactOptions } from '../export/contact/sheets.ts';
import { nodePainter } from '../export/node/node-painter.ts';
import { readPack } from '../export/pack.ts';
import { readShot } from '../intake/node/read-shot.ts';
import { sayOdd } from '../intake/source.ts';
import { oneShot, type PrintPaper, printPaper, runCommand, UsageError, understood } from './command.ts';
import { diskPictures } from './disk-pictures.ts';
import { print } from './print.ts';
import { put } from './put.ts';

const usage = `fairpeg contact FOLDER|PACK --pdf FILE --png FILE [OPTIONS]

All drawings of a shot on pages: small pictures in the order in which they come on screen, each with its number, role,
level and frames. Roles and exposures said on a tablet are read from fairpeg/entries.json beside the drawings.

  --pdf FILE    for print; FILE may be -, which is standard output
  --png FILE    as pictures, one a page, at 150 dots an inch: FILE.png, FILE-2.png, FILE-3.png …
  --paper NAME  A4 (as usual) or Letter
  --rough       the rough drawings; without it the clean ones, and the rough where there is no clean-up yet

Exit code: 0 written, 1 written, but a drawing has no picture that can be read, 2 it could not be written.`;

/** 0 written, 1 written without a picture, 2 not written. */
export const run = (args: readonly string[]): Promise<number> =>
  runCommand({ name: 'contact', usage, read, work: write }, args);

interface Wanted {
  readonly folder: string;
  readonly pdf: string | undefined;
  readonly png: string | undefined;
  readonly paper: PrintPaper;
  readonly layer: 'clean' | 'rough';
}

function read(args: readonly string[]): Wanted | undefined {
  const { values, positionals } = understood(() => parse(args));
  if (values.help) return undefined;
  const folder = oneShot(positionals);
  const { pdf, png, paper, rough } = values;
  if (pdf === undefined && png === undefined) throw new UsageError('Name a file after --pdf or --png.');
  if (png === '-') throw new UsageError('--png writes a file a page: name one, such as sheet.png.');
  return { folder, pdf, png, paper: printPaper(paper), layer: rough ? 'rough' : 'clean' };
}

function parse(args: readonly string[]) {
  return parseArgs({
    args: [...args],
    allowPositionals: true,
    options: {
      pdf: { type: 'string' },
      png: { type: 'string' },
      paper: { type: 'string', default: 'A4' },
      rough: { type: 'boolean' },
      help: { type: 'boolean', short: 'h' },
    },
  });
}

async function write({ folder, pdf, png, paper, layer }: Wanted): Promise<number> {
  const disk = await readShot(folder);
  for (const odd of disk.odd) print(process.stderr, sayOdd(odd));
  const beside = readPack(disk.shot, disk.beside);
  for (const sentence of beside.odd) print(process.stderr, sentence);
  if (beside.broken) return 2;
  const { shot } = saidShot(disk.shot, beside.entries);
  const cells = contactCells(shot, layer);
  const pictures = diskPictures(disk);
  const options: ContactOptions = {
    title: shot.title,
    sizePx: shot.sizePx,
    paper,
    painter: nodePainter(async () => undefined),
    pictureOf: pictures.pictureOf,
    printed: new Date().toISOString().slice(0, 10),
  };
  if (pdf !== undefined) await put(pdf, await contactPdf(cells, options));
  if (png !== undefined) {
    const pages = await contactPngs(cells, options);
    const names = pageNames(png, pages.length);
    for (const [index, page] of pages.entries()) await put(names[index] ?? png, page);
    if (pages.length > 1 && pdf !== '-') print(process.stdout, `Written: ${names.join(', ')}`);
  }
  return pictures.lacks() || cells.some(({ image }) => !image) ? 1 : 0;
}
