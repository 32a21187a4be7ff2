/**
 * Zip archives (PKWARE APPNOTE 6.3), read by their table of contents: one entry at a time, streamed, never
 * more bytes than the entry says. Names are only ever names here; nothing is written by them.
 */
import { Inflate } from 'fflate';
import { crc32 } from '../line/crc32.ts';
import { damaged, mostFileBytes, mostFiles, mostZipBytes } from './limits.ts';
import { type ByteSource, type IntakeFile, type OddFile, OddFileError } from './source.ts';
import { entryName } from './zip-names.ts';

export interface Zip {
  readonly files: readonly IntakeFile[];
  /** Entries that cannot be taken, or only with a remark. */
  readonly odd: readonly OddFile[];
}

interface Entry {
  readonly name: string;
  readonly flags: number;
  readonly method: number;
  readonly crc: number;
  readonly packedBytes: number;
  readonly byteLength: number;
  readonly offset: number;
}

const stored = 0;
const deflated = 8;

/**
 * Lists a zip's files under `folder`. Throws an `OddFileError` when it is no whole zip, and when all that it
 * says of its files' sizes is too much for a tablet: nothing is inflated before.
 */
export async function openZip(source: ByteSource, folder: string): Promise<Zip> {
  const files: IntakeFile[] = [];
  const odd: OddFile[] = [];
  const taken = new Set<string>();
  let unpackedBytes = 0;
  for (const entry of await readDirectory(source)) {
    if (/[/\\]$/.test(entry.name)) continue;
    const parts = entry.name.split(/[/\\]+/);
    const inside = parts.filter(
      (part) => part !== '' && part !== '.' && part !== '..' && !/^[a-z]:$/i.test(part),
    );
    const path = unique(`${folder}/${inside.join('/')}`.normalize('NFC'), taken);
    const fault = faultOf(entry);
    if (fault) odd.push({ name: path, ...fault, taken: false });
    else {
      if (inside.length < parts.length)
        odd.push({
          name: path,
          why: `its place in the zip points elsewhere (${entry.name}); only its own name was used`,
          todo: '',
          taken: true,
        });
      files.push(fileOf(source, entry, path));
      unpackedBytes += entry.byteLength;
    }
  }
  if (unpackedBytes > mostZipBytes)
    throw new OddFileError(
      `its ${files.length} files unpack to ${(unpackedBytes / 1e9).toFixed(1)} GB, more than a tablet can hold`,
      'Take in one shot at a time.',
    );
  return { files, odd };
}

/** A second file of one name gets a number before its ending, as systems number copies. */
function unique(path: string, taken: Set<string>): string {
  let name = path;
  const [, stem = path, ending = ''] = /^(.*?)(\.[^./]*)?$/s.exec(path) ?? [];
  for (let n = 2; taken.has(name); n++) name = `${stem} (${n})${ending}`;
  taken.add(name);
  return name;
}

function faultOf({ flags, method, byteLength }: Entry): Pick<OddFile, 'why' | 'todo'> | undefined {
  if (flags & 1)
    return { why: 'it is locked with a password', todo: 'Unpack the zip and take in the folder.' };
  if (method !== stored && method !== deflated)
    return {
      why: 'it is packed in a way this app cannot unpack',
      todo: 'Pack it again as an ordinary zip.',
    };
  if (byteLength > mostFileBytes)
    return {
      why: `it unpacks to ${Math.round(byteLength / 1e6)} MB, more than a tablet can hold`,
      todo: 'Export it at a smaller size.',
    };
  return undefined;
}

function fileOf(source: ByteSource, entry: Entry, path: string): IntakeFile {
  return {
    path,
    byteLength: entry.byteLength,
    async bytes(signal) {
      const bytes = await unpack(source, entry, signal);
      if (bytes.length < entry.byteLength || crc32(bytes) !== entry.crc) throw damaged();
      return bytes;
    },
    head: (count, signal) => headOf(source, entry, Math.min(count, entry.byteLength), signal),
  };
}

/** Where an entry's own bytes begin, past its local header. */
async function startOf(source: ByteSource, entry: Entry): Promise<number> {
  const local = view(await source.read(entry.offset, entry.offset + 30));
  if (local.byteLength < 30 || local.getUint32(0, true) !== 0x04_03_4b_50) throw damaged();
  const start = entry.offset + 30 + local.getUint16(26, true) + local.getUint16(28, true);
  if (start + entry.packedBytes > source.byteLength) throw damaged();
  return start;
}

/** Deflate makes at most 1032 bytes of one: a piece of this size becomes half a megabyte at the worst. */
const headPieceBytes = 512;
/** A head that has not come by then never comes. */
const mostHeadPackedBytes = 64 * 1024;

/** The first `count` bytes of an entry, inflated in small steps here: a browser inflates a whole piece at once. */
async function headOf(
  source: ByteSource,
  entry: Entry,
  count: number,
  signal?: AbortSignal,
): Promise<Uint8Array<ArrayBuffer>> {
  const start = await startOf(source, entry);
  if (entry.method === stored) return source.read(start, start + Math.min(count, entry.packedBytes));
  const packed = await source.read(start, start + Math.min(entry.packedBytes, mostHeadPackedBytes));
  const out = new Uint8Array(count);
  let filled = 0;
  const inflate = new Inflate((chunk) => {
    const room = chunk.subarray(0, count - filled);
    out.set(room, filled);
    filled += room.length;
  });
  try {
    for (let at = 0; at < packed.length; at += headPieceBytes) {
      if (filled === count) break;
      signal?.throwIfAborted();
      inflate.push(packed.subarray(at, at + headPieceBytes), at + headPieceBytes >= entry.packedBytes);
    }
  } catch (error) {
    signal?.throwIfAborted();
    throw damaged(error);
  }
  return out.subarray(0, filled);
}

/** All of an entry. Throws when it holds more than it says. */
async function unpack(
  source: ByteSource,
  entry: Entry,
  signal?: AbortSignal,
): Promise<Uint8Array<ArrayBuffer>> {
  const start = await startOf(source, entry);
  const count = entry.byteLength;
  if (entry.method === stored) return source.read(start, start + Math.min(count, entry.packedBytes));
  const out = new Uint8Array(count);
  let filled = 0;
  const packed = piecesOf(source, start, entry.packedBytes, signal);
  const reader = packed.pipeThrough(new DecompressionStream('deflate-raw')).getReader();
  try {
    for (;;) {
      const { done, value } = await reader.read();
      if (done) break;
      const room = value.subarray(0, count - filled);
      out.set(room, filled);
      filled += room.length;
      if (room.length < value.length)
        throw new OddFileError('it unpacks to more than the zip says', 'Pack the zip again.');
    }
  } catch (error) {
    signal?.throwIfAborted();
    throw error instanceof OddFileError ? error : damaged(error);
  } finally {
    // The stream is left in the middle after a fault; what it then says is of no use.
    await reader.cancel().catch(() => undefined);
  }
  return out.subarray(0, filled);
}

const pieceBytes = 256 * 1024;
/** What is inflated at a step: 16 MB at the worst, where a browser inflates a whole piece before it is asked. */
const stepBytes = 16 * 1024;

function piecesOf(
  source: ByteSource,
  start: number,
  length: number,
  signal: AbortSignal | undefined,
): ReadableStream<Uint8Array<ArrayBuffer>> {
  let at = start;
  let piece = new Uint8Array(0);
  return new ReadableStream(
    {
      async pull(controller) {
        signal?.throwIfAborted();
        if (piece.length === 0 && at < start + length) {
          piece = await source.read(at, Math.min(start + length, at + pieceBytes));
          // A file that shrank meanwhile.
          at = piece.length === 0 ? start + length : at + piece.length;
        }
        if (piece.length > 0) controller.enqueue(piece.subarray(0, stepBytes));
        piece = piece.subarray(stepBytes);
        if (piece.length === 0 && at === start + length) controller.close();
      },
    },
    { highWaterMark: 0 },
  );
}

const endBytes = 22;
const longestComment = 65_535;
/** A table of contents larger than this names more files than an intake takes. */
const mostDirectoryBytes = 64 * 1024 * 1024;

async function readDirectory(source: ByteSource): Promise<Entry[]> {
  const { start, length } = await findDirectory(source);
  if (length > mostDirectoryBytes || start + length > source.byteLength) throw noDirectory();
  const bytes = await source.read(start, start + length);
  const directory = view(bytes);
  const entries: Entry[] = [];
  for (let at = 0; at + 46 <= length && directory.getUint32(at, true) === 0x02_01_4b_50; ) {
    const [nameLength, extraLength, commentLength] = [28, 30, 32].map((field) =>
      directory.getUint16(at + field, true),
    ) as [number, number, number];
    const extra = bytes.subarray(at + 46 + nameLength, at + 46 + nameLength + extraLength);
    const flags = directory.getUint16(at + 8, true);
    const sizes = wideSizes(
      extra,
      [24, 20, 42].map((field) => directory.getUint32(at + field, true)),
    );
    entries.push({
      name: entryName(bytes.subarray(at + 46, at + 46 + nameLength), extra, (flags & 0x8_00) !== 0),
      flags,
      method: directory.getUint16(at + 10, true),
      crc: directory.getUint32(at + 16, true),
      ...sizes,
    });
    if (entries.length > mostFiles)
      throw new OddFileError(`it holds more than ${mostFiles} files`, 'Take in one shot at a time.');
    at += 46 + nameLength + extraLength + commentLength;
  }
  return entries;
}

/** The sizes and the offset, from the zip64 field where 32 bits were too few (APPNOTE 4.5.3). */
function wideSizes(
  extra: Uint8Array,
  narrow: readonly number[],
): Pick<Entry, 'byteLength' | 'packedBytes' | 'offset'> {
  const wide = view(extra);
  const values = [...narrow];
  for (let at = 0; at + 4 <= extra.length; at += 4 + wide.getUint16(at + 2, true)) {
    if (wide.getUint16(at, true) !== 1) continue;
    let field = at + 4;
    values.forEach((value, i) => {
      if (value !== 0xff_ff_ff_ff || field + 8 > extra.length) return;
      values[i] = Number(wide.getBigUint64(field, true));
      field += 8;
    });
    break;
  }
  const [byteLength = 0, packedBytes = 0, offset = 0] = values;
  return { byteLength, packedBytes, offset };
}

async function findDirectory(source: ByteSource): Promise<{ start: number; length: number }> {
  const tailStart = Math.max(0, source.byteLength - endBytes - longestComment);
  const tail = view(await source.read(tailStart, source.byteLength));
  for (let at = tail.byteLength - endBytes; at >= 0; at--) {
    if (tail.getUint32(at, true) !== 0x06_05_4b_50) continue;
    const locator = at - 20;
    if (locator >= 0 && tail.getUint32(locator, true) === 0x07_06_4b_50) {
      const end = Number(tail.getBigUint64(locator + 8, true));
      if (end + 56 > source.byteLength) break;
      const wide = view(await source.read(end, end + 56));
      return { start: Number(wide.getBigUint64(48, true)), length: Number(wide.getBigUint64(40, true)) };
    }
    return { start: tail.getUint32(at + 16, true), length: tail.getUint32(at + 12, true) };
  }
  throw noDirectory();
}

function noDirectory(): OddFileError {
  return new OddFileError('the zip is cut short or damaged: its end is missing', 'Copy or pack it again.');
}

function view(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}
