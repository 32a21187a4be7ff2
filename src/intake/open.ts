/** Looks at everything that was offered: what is a picture, what a zip, what neither. Decodes nothing. */
import { readShotJson } from '../shot/shot-json.ts';
import { each, inLanes } from '../work/lanes.ts';
import { gatherOdd } from './gather.ts';
import { mostFileBytes, mostFiles } from './limits.ts';
import { extensionFits, isPicture, sniff, sniffLength } from './sniff.ts';
import { type ByteSource, type InputFile, type IntakeFile, OddFileError } from './source.ts';
import type { BesideFile, Opened } from './types.ts';
import { openZip } from './zip.ts';

type Found = { -readonly [K in keyof Opened]: Opened[K][number][] };

/** What a pack holds beside the drawings: the shot's folder, the name. */
const besideShot = /^(?:(.*)\/)?fairpeg\/(entries\.json|findings\.json)$/;

/** Files looked at together: reading a head waits for a disk, not for a processor. */
const together = 8;

/** Rejects only when aborted: every file that cannot be read is named in `odd`. */
export async function openIntake(
  input: readonly InputFile[],
  { signal }: { readonly signal?: AbortSignal } = {},
): Promise<Opened> {
  const found: Found = { pictures: [], shotFiles: [], sheets: [], beside: [], odd: [] };
  const offered = input.filter(({ path }) => !isLitter(path));
  if (offered.length > mostFiles) {
    const why = `it is one of ${offered.length} files, more than the ${mostFiles} that can be taken in at once`;
    found.odd.push({ name: offered[0]?.path ?? '', why, todo: 'Take in one shot at a time.', taken: false });
    return found;
  }
  await inLanes(together, each(offered), async ({ path, source }) => {
    signal?.throwIfAborted();
    await look(plainFile(path.normalize('NFC'), source), found, signal, source);
  });
  const byPath = (a: { path: string }, b: { path: string }) => (a.path < b.path ? -1 : 1);
  return {
    ...found,
    pictures: found.pictures.sort(byPath),
    odd: gatherOdd(found.odd.sort((a, b) => (a.name < b.name ? -1 : 1))),
  };
}

/** What systems leave lying in folders and zips. Left out without a word. */
export function isLitter(path: string): boolean {
  return path
    .split(/[/\\]/)
    .some(
      (part) =>
        part === '__MACOSX' || (/^(\..+|thumbs\.db|desktop\.ini|ehthumbs\.db)$/i.test(part) && part !== '..'),
    );
}

function plainFile(path: string, source: ByteSource): IntakeFile {
  const read = async (end: number) => {
    try {
      return await source.read(0, end);
    } catch (error) {
      throw new OddFileError('it cannot be read any more', 'Choose it again.', { cause: error });
    }
  };
  return {
    path,
    byteLength: source.byteLength,
    bytes: () => read(source.byteLength),
    head: (count) => read(Math.min(count, source.byteLength)),
  };
}

/** `source` is given for files that may be a zip: those that do not come out of one. */
async function look(
  file: IntakeFile,
  found: Found,
  signal: AbortSignal | undefined,
  source?: ByteSource,
): Promise<void> {
  const { path } = file;
  const refuse = (why: string, todo: string) => found.odd.push({ name: path, why, todo, taken: false });
  try {
    if (/(^|\/)shot\.json$/i.test(path)) return await takeShotFile(file, found);
    if (/(^|\/)exposure\.csv$/i.test(path)) {
      found.sheets.push({ folder: folderOf(path), text: await textOf(file) });
      return;
    }
    const [, folder = '', name] = besideShot.exec(path) ?? [];
    if (name) {
      found.beside.push({ folder, name: name as BesideFile['name'], path, text: await textOf(file) });
      return;
    }
    const { kind, words } = sniff(await file.head(sniffLength, signal));
    if (kind === 'empty') refuse('it is empty (0 bytes)', 'Copy or export it again.');
    else if (kind === 'zip' && source) await takeZip(file, source, found, signal);
    else if (kind === 'zip') refuse('it is a zip within a zip', 'Take it in on its own.');
    else if (!isPicture(kind)) refuse(`it is ${words}`, adviceFor(words));
    else if (file.byteLength > mostFileBytes)
      refuse(
        `it has ${Math.round(file.byteLength / 1e6)} MB, more than a tablet can hold`,
        'Export it at a smaller size.',
      );
    else {
      if (!extensionFits(path, kind))
        found.odd.push({
          name: path,
          why: `it is ${words} in spite of its name; it was taken as that`,
          todo: '',
          taken: true,
        });
      found.pictures.push(file);
    }
  } catch (error) {
    if (!(error instanceof OddFileError)) throw error;
    refuse(error.message, error.todo);
  }
}

function adviceFor(words: string): string {
  if (words.includes('archive')) return 'Unpack it and take in the folder, or pack it as a zip.';
  if (words.includes('film') || words.includes('PDF')) return 'Export its pictures as PNG.';
  return words.startsWith('no ') || words.includes('file') ? 'It was left out.' : 'Export it as PNG.';
}

async function takeShotFile(file: IntakeFile, found: Found): Promise<void> {
  const result = readShotJson(await textOf(file));
  if (result.ok) found.shotFiles.push({ folder: folderOf(file.path), file: result.file });
  else {
    const [first = '', ...more] = result.faults;
    const why = `${first.replace(/\.$/, '').replace(/^shot\.json,? /, '')}${more.length ? ` (and ${more.length} more)` : ''}`;
    found.odd.push({
      name: file.path,
      why,
      todo: 'The pictures were taken without it; mend it and take it in again.',
      taken: false,
    });
  }
}

async function takeZip(
  file: IntakeFile,
  source: ByteSource,
  found: Found,
  signal: AbortSignal | undefined,
): Promise<void> {
  if (!extensionFits(file.path, 'zip'))
    found.odd.push({
      name: file.path,
      why: 'it is a zip in spite of its name; it was opened as one',
      todo: '',
      taken: true,
    });
  const zip = await openZip(source, file.path.replace(/\.[^./]*$/, ''));
  found.odd.push(...zip.odd.filter(({ name }) => !isLitter(name)));
  let looked = 0;
  await inLanes(together, each(zip.files.filter(({ path }) => !isLitter(path))), async (entry) => {
    signal?.throwIfAborted();
    // The page gets a turn: a stop is heard, and it does not freeze.
    if (++looked % 64 === 0) await new Promise((done) => setTimeout(done));
    await look(entry, found, signal);
  });
}

function folderOf(path: string): string {
  return path.slice(0, Math.max(0, path.lastIndexOf('/')));
}

const mostTextBytes = 16 * 1024 * 1024;

async function textOf(file: IntakeFile): Promise<string> {
  if (file.byteLength > mostTextBytes)
    throw new OddFileError('it is too long for a text', 'Look whether it is the right file.');
  return new TextDecoder().decode(await file.bytes());
}
