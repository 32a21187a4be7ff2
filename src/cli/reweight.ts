/** `fairpeg reweight`: the line of finished drawings made thicker or thinner, written out beside them. */
import { mkdir, readdir, writeFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { parseArgs } from 'node:util';
import sharp from 'sharp';
import { middleWeightPx } from '../check/measured.ts';
import { type WeightWish, weightChange } from '../check/reweigh-by.ts';
import { decodePicture } from '../intake/node/decode-picture.ts';
import { readShot } from '../intake/node/read-shot.ts';
import { sayOdd } from '../intake/source.ts';
import { safeName } from '../intake/write-shot.ts';
import { type Ink, inkOf } from '../line/ink.ts';
import { lineSamples } from '../line/line-samples.ts';
import { isRefused } from '../line/refused.ts';
import { changeSamples, type Samples } from '../line/reweight/apply-change.ts';
import { MOST_EDGE_PX, reweigh } from '../line/reweight/reweigh.ts';
import { type Break, whatBreaks } from '../line/reweight/what-breaks.ts';
import { lineRuns } from '../line/runs.ts';
import { skeletonOf } from '../line/skeleton.ts';
import { measureWeight } from '../line/weight.ts';
import type { ImageRef, Level } from '../shot/model.ts';
import { cleanOf } from '../shot/takes.ts';
import { oneShot, runCommand, UsageError, understood } from './command.ts';
import { print } from './print.ts';

const usage = `fairpeg reweight FOLDER (--by PX|PERCENT% | --to PX|keys) --out FOLDER [--json] [--foretell]

Makes the line of every clean drawing of a shot thicker or thinner, and writes PNG of the same size, depth, colour and
transparency into the folder after --out, named as they came. Nothing in the shot's own folder is changed.
Meant for clean, even line; on a rough or a sketched line it is seldom a good idea.

  --by PX         every line wider by so many px; narrower with a minus (--by=-0.5)
  --by PERCENT%   by a share of each drawing's own line weight (--by=10%)
  --to PX         each drawing's line weight (the median) brought to so many px; its thick and thin stay
  --to keys       brought to the weight of its level's keys (of all its drawings where none is a key); keys stay
  --out FOLDER    a folder that is new or empty; a drawing whose line cannot be measured is put there unchanged
  --foretell      writes no picture: only says what would break
  --json          what was done and what it breaks, drawing by drawing: public/schemas/reweight.schema.json

Exit code: 0 nothing breaks, 1 lines are lost or cut, or gaps and areas close, 2 it could not be done.`;

interface Wanted {
  readonly folder: string;
  readonly out: string | undefined;
  readonly json: boolean;
  readonly wish: WeightWish;
}

interface Done {
  readonly level: string;
  readonly drawing: string;
  /** Median line weight before, px. */
  readonly weightPx: number | null;
  readonly byPx: number;
  readonly breaks: readonly Break[];
  readonly file?: string;
  /** Why it was left as it is. */
  readonly left?: string;
}

/** 0 nothing breaks, 1 something does, 2 it could not be done. */
export const run = (args: readonly string[]): Promise<number> =>
  runCommand({ name: 'reweight', usage, read, work: reweight }, args);

async function reweight(wanted: Wanted): Promise<number> {
  // Decoded at once: a damaged file is named before anything is written.
  const disk = await readShot(wanted.folder, { decode: true });
  for (const odd of disk.odd) print(process.stderr, sayOdd(odd));
  const done: Done[] = [];
  const written = new Set<string>();
  for (const level of disk.shot.levels) {
    // A level's name may be anything, `..` too.
    const keysPx =
      wanted.wish.how === 'keys' ? await keysWeight(level, (image) => disk.bytes(image)) : undefined;
    const folder = wanted.out && (level.name ? join(wanted.out, safeName(level.name)) : wanted.out);
    for (const drawing of level.drawings) {
      const image = cleanOf(drawing);
      if (!image) continue;
      const name = basename(disk.pathOf(image)).replace(/\.[^.]+$/, '');
      if (folder) await mkdir(folder, { recursive: true });
      const file = folder && freeName(join(folder, name), written);
      const isKey = drawing.role === 'key';
      const result = await reweighFile(await disk.bytes(image), wanted.wish, { keysPx, isKey }, file);
      done.push({ level: level.name, drawing: drawing.label, ...result });
    }
  }
  if (done.length === 0) {
    print(process.stderr, `fairpeg reweight: ${wanted.folder} holds no clean drawing; nothing was written.`);
    return 2;
  }
  print(
    process.stdout,
    wanted.json
      ? JSON.stringify({ format: 'fairpeg reweight', v: 1, drawings: done }, undefined, 2)
      : tableOf(done),
  );
  return done.some(({ breaks }) => breaks.length > 0) ? 1 : 0;
}

/** Median line weight of a level's keys, or of all its drawings where none is a key: as the checks have it. */
async function keysWeight(
  level: Level,
  bytes: (image: ImageRef) => Promise<Uint8Array>,
): Promise<number | undefined> {
  const keys = level.drawings.filter((drawing) => drawing.role === 'key' && cleanOf(drawing));
  const weights: number[] = [];
  for (const drawing of keys.length > 0 ? keys : level.drawings) {
    const image = cleanOf(drawing);
    const weight = image && weigh(inkOf(await decodePicture(await bytes(image))));
    if (weight && !isRefused(weight)) weights.push(weight.medianPx);
  }
  return middleWeightPx(weights);
}

/** Drawings of two folders may have one file name; none is written over the other. */
function freeName(path: string, written: Set<string>): string {
  for (let n = 1; ; n++) {
    const name = `${path}${n === 1 ? '' : ` (${n})`}.png`;
    if (written.has(name.toLowerCase())) continue;
    written.add(name.toLowerCase());
    return name;
  }
}

async function read(args: readonly string[]): Promise<Wanted | undefined> {
  const { values, positionals } = understood(() => parse(args));
  if (values.help) return undefined;
  const folder = oneShot(positionals, 'the folder or zip of a shot');
  const wish = wishFrom(values.by, values.to);
  if (values.foretell) return { folder, out: undefined, json: values.json ?? false, wish };
  if (values.out === undefined)
    throw new UsageError('Name a new folder after --out, or ask with --foretell only.');
  const there = await readdir(values.out).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return [];
    throw error;
  });
  if (there.length > 0)
    throw new UsageError(`${values.out} is not empty; name a new folder, so that nothing is replaced.`);
  return { folder, out: values.out, json: values.json ?? false, wish };
}

function parse(args: readonly string[]) {
  return parseArgs({
    args: [...args],
    allowPositionals: true,
    options: {
      by: { type: 'string' },
      to: { type: 'string' },
      out: { type: 'string' },
      json: { type: 'boolean' },
      foretell: { type: 'boolean' },
      help: { type: 'boolean', short: 'h' },
    },
  });
}

function wishFrom(by: string | undefined, to: string | undefined): WeightWish {
  if ((by === undefined) === (to === undefined)) throw new UsageError('Say either --by or --to.');
  if (to === 'keys') return { how: 'keys' };
  if (to !== undefined) {
    const px = Number(to);
    if (!(px > 0 && px <= 200))
      throw new UsageError(`--to takes a weight over 0 and up to 200 px, or the word keys, not “${to}”.`);
    return { how: 'to', px };
  }
  const match = /^([+-]?\d+(?:\.\d+)?)(%?)$/.exec(by ?? '');
  const amount = Number(match?.[1]);
  if (!match || amount === 0)
    throw new UsageError(`--by takes px or per cent, such as 0.5 or -10%, not “${by}”.`);
  if (match[2] === '%') {
    if (amount <= -100 || amount > 300) throw new UsageError(`--by takes −99 to 300 per cent, not “${by}”.`);
    return { how: 'percent', percent: amount };
  }
  if (Math.abs(amount) > 2 * MOST_EDGE_PX)
    throw new UsageError(`--by takes up to ${2 * MOST_EDGE_PX} px, not “${by}”.`);
  return { how: 'px', px: amount };
}

const weigh = (ink: Ink): ReturnType<typeof measureWeight> =>
  measureWeight(lineSamples(ink, skeletonOf(lineRuns(ink.coverage, ink.width, ink.height))));

async function reweighFile(
  bytes: Uint8Array,
  wish: WeightWish,
  of: { readonly keysPx: number | undefined; readonly isKey: boolean },
  file: string | undefined,
): Promise<Omit<Done, 'level' | 'drawing'>> {
  const ink = inkOf(await decodePicture(bytes));
  const weight = weigh(ink);
  const left = async (why: string) => {
    if (file !== undefined) await writeSamples(file, await samplesOf(bytes), bytes);
    return { weightPx: null, byPx: 0, breaks: [], left: why, ...(file !== undefined && { file }) };
  };
  if (isRefused(weight)) return left(weight.refused);
  const wanted = weightChange(wish, { weightPx: weight.medianPx, ...of });
  if (!wanted || 'left' in wanted) return left(wanted?.left ?? 'No drawing of its level could be weighed.');
  const by = wanted.byPx;
  const change = reweigh(ink, by);
  const said = { weightPx: weight.medianPx, byPx: by, breaks: whatBreaks(ink, change) };
  if (file === undefined) return said;
  const samples = await samplesOf(bytes);
  changeSamples(samples, ink.coverage, ink.paper, change);
  await writeSamples(file, samples, bytes);
  return { ...said, file };
}

/** As PNG in the colour space of the file they came from: grey is worked on as colour, and goes back to grey. */
async function writeSamples(
  file: string,
  { width, height, channels, data }: Samples,
  from: Uint8Array,
): Promise<void> {
  const deep = data instanceof Uint16Array;
  const grey = (await sharp(from).metadata()).channels < 3;
  const space = grey ? (deep ? 'grey16' : 'b-w') : deep ? 'rgb16' : 'srgb';
  const image = sharp(data, { raw: { width, height, channels } }).toColourspace(space);
  // Never over a file that is there.
  await writeFile(file, await image.png({ palette: false }).toBuffer(), { flag: 'wx' });
}

/** The file's samples upright, at its own depth and with its own channels. */
async function samplesOf(bytes: Uint8Array): Promise<Samples> {
  const { depth } = await sharp(bytes).metadata();
  const deep = depth === 'ushort';
  const { data, info } = await sharp(bytes, { ignoreIcc: true })
    .autoOrient()
    .toColourspace(deep ? 'rgb16' : 'srgb')
    .raw({ depth: deep ? 'ushort' : 'uchar' })
    .toBuffer({ resolveWithObject: true });
  const { channels } = info;
  const samples = deep
    ? new Uint16Array(data.buffer, data.byteOffset, data.byteLength / 2)
    : new Uint8Array(data.buffer, data.byteOffset, data.byteLength);
  return { width: info.width, height: info.height, channels, data: samples };
}

function tableOf(done: readonly Done[]): string {
  const lines = done.map(({ level, drawing, weightPx, byPx, breaks, left }) => {
    const name = level ? `${level} ${drawing}` : drawing;
    if (left !== undefined || weightPx === null) return `${name}: left as it is. ${left ?? ''}`;
    const sign = byPx < 0 ? '−' : '+';
    const places = breaks.map(({ kind, box }) => `\n  ${kind} at [${box.join(', ')}]`).join('');
    return `${name}: ${weightPx.toFixed(2)} px ${sign} ${Math.abs(byPx).toFixed(2)} px${places}`;
  });
  return lines.join('\n');
}
