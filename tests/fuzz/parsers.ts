/** Every parser of what comes from outside: it gives a sound value or says what is wrong, and never anything else. */
import * as fc from 'fast-check';
import { zipSync } from 'fflate';
import sharp from 'sharp';
import { readHeader } from '../../src/intake/header.ts';
import { nameParts } from '../../src/intake/names.ts';
import { openIntake } from '../../src/intake/open.ts';
import { planIntake } from '../../src/intake/plan.ts';
import { decodePng } from '../../src/intake/png.ts';
import { OddFileError } from '../../src/intake/source.ts';
import { decodeTiff } from '../../src/intake/tiff.ts';
import { mergeNotes } from '../../src/note/merge.ts';
import { readNotesJson } from '../../src/note/notes-json.ts';
import { isKnown, parseEntry } from '../../src/note/parse.ts';
import { readCookie } from '../../src/server/passes.ts';
import { readRange } from '../../src/server/pictures/images.ts';
import { checkShot } from '../../src/shot/check-shot.ts';
import { readCsv } from '../../src/shot/csv.ts';
import { readExposureCsv } from '../../src/shot/exposure-csv.ts';
import { tidyLabel } from '../../src/shot/labels.ts';
import { readShotJson } from '../../src/shot/shot-json.ts';
import { readContentRange } from '../../src/wire/images.ts';
import { fileOf } from '../unit/intake/make.ts';
import { makeApng, makePng, pngKinds } from '../unit/intake/png-files.ts';
import { nearly, nearlyFile } from './arbitraries.ts';
import { alone, type Fuzz } from './fuzz.ts';
import { anyEntry, anyShot } from './made.ts';

/** True for a value that `sound` likes, and for a refusal that names a reason; anything else thrown is a fault. */
function soundOrOdd<T>(work: () => T, sound: (value: T) => boolean): boolean {
  try {
    return sound(work());
  } catch (error) {
    return error instanceof OddFileError && error.message.length > 0;
  }
}
async function soundOrOddLater<T>(work: () => Promise<T>, sound: (value: T) => boolean): Promise<boolean> {
  try {
    return sound(await work());
  } catch (error) {
    return error instanceof OddFileError && error.message.length > 0;
  }
}

const whole = ({ width, height, channels, data }: ReturnType<typeof decodePng>): boolean =>
  width > 0 && height > 0 && data.length === width * height * channels;

const noise = sharp(Buffer.from(Array.from({ length: 37 * 23 }, (_, n) => (n * 7919) & 255)), {
  raw: { width: 37, height: 23, channels: 1 },
});

const text = fc.oneof(fc.string({ unit: 'binary', maxLength: 200 }), fc.string({ maxLength: 200 }));
const jsonText = (value: fc.Arbitrary<unknown>): fc.Arbitrary<string> =>
  fc.oneof(
    { weight: 4, arbitrary: nearly(value).map((made) => JSON.stringify(made) ?? '') },
    { weight: 1, arbitrary: text },
    {
      weight: 1,
      arbitrary: fc.tuple(value, fc.nat()).map(([made, at]) => JSON.stringify(made).slice(0, at)),
    },
  );

export const parsers: readonly Fuzz[] = [
  alone(
    'PNG',
    400,
    fc.property(
      nearlyFile(
        ...pngKinds.map((kind) => makePng(kind)),
        makeApng({ colour: 6, depth: 8, interlaced: false }),
      ),
      (file) => soundOrOdd(() => decodePng(file), whole),
    ),
  ),
  {
    name: 'JPEG and WebP headers',
    tries: 400,
    async open() {
      const jpeg = nearlyFile(new Uint8Array(await noise.clone().jpeg().toBuffer()));
      const webp = nearlyFile(
        new Uint8Array(await noise.clone().webp().toBuffer()),
        new Uint8Array(await noise.clone().webp({ lossless: true }).toBuffer()),
      );
      const file = fc.oneof(
        jpeg.map((bytes) => ['jpeg', bytes] as const),
        webp.map((bytes) => ['webp', bytes] as const),
      );
      const property = fc.property(file, ([kind, bytes]) =>
        soundOrOdd(
          () => readHeader(kind, bytes),
          (header) => (header?.width ?? 0) > 0 && (header?.height ?? 0) > 0,
        ),
      );
      return { property };
    },
  },
  {
    name: 'TIFF',
    tries: 200,
    async open() {
      const files = await Promise.all(
        (['none', 'lzw', 'deflate', 'packbits'] as const).map(
          async (compression) => new Uint8Array(await noise.clone().tiff({ compression }).toBuffer()),
        ),
      );
      const property = fc.asyncProperty(nearlyFile(...files), (file) =>
        soundOrOddLater(
          () => decodeTiff(new Uint8Array(file).buffer),
          ({ picture: { width, height, data } }) => data.length === width * height * 4,
        ),
      );
      return { property };
    },
  },
  {
    name: 'zip, planned as a shot',
    tries: 150,
    open() {
      const png = makePng({ colour: 0, depth: 8, interlaced: false });
      const packed = zipSync({
        'sc04/rough/1.png': png,
        'sc04/clean/1.png': png,
        'sc04/shot.json': new TextEncoder().encode('{"title":"Lantern","fps":24}'),
        'sc04/exposure.csv': new TextEncoder().encode('level,drawing,frame,length\n,1,1,2\n'),
      });
      const property = fc.asyncProperty(nearlyFile(packed), async (zip) => {
        const opened = await openIntake([fileOf('sc04.zip', zip)], {});
        const plan = planIntake(opened, new Map());
        for (const odd of plan.odd) if (odd.why.length === 0) return false;
        return true;
      });
      return { property };
    },
  },
  alone(
    'entries',
    1500,
    fc.property(fc.array(nearly(anyEntry), { maxLength: 6 }), (values) => {
      const parsed = values.map(parseEntry);
      if (parsed.some((result) => !result.ok && result.reason === '')) return false;
      const known = parsed.flatMap((result) => (result.ok && isKnown(result.entry) ? [result.entry] : []));
      // An id stands for one entry (the server refuses another with code `clash`).
      const good = [...new Map(known.map((one) => [one.id, one])).values()];
      // Whatever gets in is merged by every tablet, in any order, to the same.
      const [there, back] = [mergeNotes(good), mergeNotes([...good].reverse())];
      return JSON.stringify([...there.notes.values()]) === JSON.stringify([...back.notes.values()]);
    }),
  ),
  alone(
    'a file of notes',
    400,
    fc.property(
      jsonText(
        fc.record({ format: fc.constant('fairpeg notes'), entries: fc.array(anyEntry, { maxLength: 3 }) }),
      ),
      (json) => {
        try {
          const { entries, odd } = readNotesJson(json);
          return entries.every((one) => typeof one.id === 'string') && odd.every((one) => one.endsWith('.'));
        } catch (error) {
          return /^it (is no file of notes|is not JSON|has no list “entries”)$/.test(
            (error as Error).message,
          );
        }
      },
    ),
  ),
  alone(
    'a shot',
    600,
    fc.property(nearly(anyShot), (value) => {
      const checked = checkShot(value);
      return checked.ok || (checked.faults.length > 0 && checked.faults.every((fault) => fault.length > 0));
    }),
  ),
  alone(
    'shot.json',
    400,
    fc.property(jsonText(anyShot), (json) => typeof readShotJson(json) === 'object'),
  ),
  alone(
    'exposure.csv',
    400,
    fc.property(
      fc.oneof(
        text,
        fc
          .array(
            fc.array(fc.oneof(text, fc.constantFrom('1', '12A', '-3', '1e9', 'x', '"')), { maxLength: 5 }),
          )
          .map((rows) => `level,drawing,frame,length\n${rows.map((row) => row.join(',')).join('\n')}`),
      ),
      (csv) => Array.isArray(readCsv(csv)) && typeof readExposureCsv(csv) === 'object',
    ),
  ),
  alone(
    'names and labels',
    600,
    fc.property(text, (name) => typeof nameParts(name) === 'object' && typeof tidyLabel(name) === 'string'),
  ),
  alone(
    'headers of HTTP',
    800,
    fc.property(
      fc.oneof(text, fc.stringMatching(/^bytes[= ]-?\d{0,17}-\d{0,17}(\/\d{0,17})?$/)),
      fc.nat({ max: 1e9 }),
      (header, size) => {
        const range = readRange(header, size);
        const sent = readContentRange(header, String(size));
        readCookie(header, true);
        const fits =
          range === undefined ||
          range === 'outside' ||
          (range.start >= 0 && range.start < range.end && range.end <= size);
        return (
          fits && (sent === undefined || (sent.start >= 0 && sent.start < sent.end && sent.end <= sent.total))
        );
      },
    ),
  ),
];
