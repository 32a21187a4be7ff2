/** `fairpeg linetest`: the shot as it moves, as an animated PNG. */
import { parseArgs } from 'node:util';
import { saidShot } from '../check/said-shot.ts';
import { FlashError } from '../export/linetest/frames.ts';
import { lineTestWays, planLineTest } from '../export/linetest/plan.ts';
import { lengthOf, rateOf } from '../export/linetest/rate.ts';
import { writeApng } from '../export/linetest/write-apng.ts';
import { nodePainter } from '../export/node/node-painter.ts';
import { readPack } from '../export/pack.ts';
import { readShot } from '../intake/node/read-shot.ts';
import { reduce } from '../intake/reduce.ts';
import { sayOdd } from '../intake/source.ts';
import { fixList, isSettled } from '../note/fix-list.ts';
import { oneShot, runCommand, UsageError, understood } from './command.ts';
import { diskPictures } from './disk-pictures.ts';
import { print } from './print.ts';
import { tellProgress } from './progress.ts';
import { put } from './put.ts';

const usage = `fairpeg linetest FOLDER|PACK --out FILE.png [OPTIONS]

The shot at its rate and exposures as an animated PNG (W3C PNG, Third Edition), which any browser plays; a tablet also
makes it as a movie. Exposures and notes said on a tablet are read from fairpeg/entries.json beside the drawings.

  --out FILE          may be -, which is standard output
  --way WAY           clean (as usual), rough, beside (rough left, clean right), underlay (rough faint beneath clean)
  --underlay PERCENT  how dark the rough is beneath; 6 as usual
  --level NAME        one level alone
  --size PX           the paper's long edge; as drawn when it is left out or larger than that
  --numbers           drawing numbers burnt in, in notation
  --frames            frame numbers burnt in
  --notes             open notes burnt in: strokes and words
  --slower            where it would flash, at the highest rate that does not, instead of not at all
  --quiet             no progress on standard error

Whether it would flash (WCAG 2.2, 2.3.1) is measured on every frame that is written. That is no medical promise.
Exit code: 0 written, 1 not written because it would flash, or written slower, or without a picture that could not be
read; 2 it could not be written.`;

/** 0 written as asked, 1 not quite, 2 not at all. */
export const run = (args: readonly string[]): Promise<number> =>
  runCommand({ name: 'linetest', usage, read, work: write }, args);

function read(args: readonly string[]) {
  const { values, positionals } = understood(() => parse(args));
  if (values.help) return undefined;
  const folder = oneShot(positionals);
  const { out, way: asked, underlay, size, ...rest } = values;
  if (out === undefined) throw new UsageError('Name a file after --out, such as linetest.png.');
  if (out !== '-' && !/\.a?png$/i.test(out))
    throw new UsageError(`At a prompt it is an animated PNG: name a file that ends in .png, not “${out}”.`);
  const way = lineTestWays.find((one) => one === asked);
  if (!way) throw new UsageError(`--way is ${lineTestWays.join(', ')}, not “${asked}”.`);
  const percent = Number(underlay);
  if (!(percent >= 0 && percent <= 100))
    throw new UsageError(`--underlay takes 0 to 100, not “${underlay}”.`);
  const longEdgePx = size === undefined ? undefined : Number(size);
  if (longEdgePx !== undefined && !(Number.isInteger(longEdgePx) && longEdgePx >= 16))
    throw new UsageError(`--size takes a whole number of px from 16 up, not “${size}”.`);
  return { ...rest, folder, out, way, underlay: percent / 100, longEdgePx };
}

function parse(args: readonly string[]) {
  return parseArgs({
    args: [...args],
    allowPositionals: true,
    options: {
      out: { type: 'string' },
      way: { type: 'string', default: 'clean' },
      underlay: { type: 'string', default: '6' },
      level: { type: 'string' },
      size: { type: 'string' },
      numbers: { type: 'boolean', default: false },
      frames: { type: 'boolean', default: false },
      notes: { type: 'boolean', default: false },
      slower: { type: 'boolean', default: false },
      quiet: { type: 'boolean', default: false },
      help: { type: 'boolean', short: 'h' },
    },
  });
}

type Wanted = NonNullable<ReturnType<typeof read>>;

async function write({
  folder,
  out,
  frames: frameNumbers,
  notes,
  slower,
  quiet,
  ...wish
}: Wanted): Promise<number> {
  const disk = await readShot(folder);
  for (const odd of disk.odd) print(process.stderr, sayOdd(odd));
  const beside = readPack(disk.shot, disk.beside);
  for (const sentence of beside.odd) print(process.stderr, sentence);
  if (beside.broken) return 2;
  const said = saidShot(disk.shot, beside.entries);
  const { shot } = said;
  if (wish.level !== undefined && !shot.levels.some(({ name }) => name === wish.level))
    throw new UsageError(
      `There is no level “${wish.level}”; there are ${shot.levels.map(({ name }) => `“${name}”`).join(', ')}.`,
    );
  const open = notes ? fixList(shot, said.notes).filter((row) => !isSettled(row)) : [];
  const plan = planLineTest(shot, { ...wish, notes: open, frameNumbers, even: false });
  if (plan.unclean.length > 0)
    print(process.stderr, `No clean-up yet, so the rough stands in for ${plan.unclean.join(', ')}.`);
  const pictures = diskPictures(disk);
  const source = { painter: nodePainter(async () => undefined), pictureOf: pictures.pictureOf, reduce };
  const made = (fps: number) =>
    writeApng(
      plan,
      rateOf(fps),
      source,
      quiet ? {} : { onProgress: tellProgress((done, total) => `written ${done} of ${total} frames`) },
    );
  let fps = shot.fps;
  const parts = await made(fps).catch((error: unknown) => {
    if (!(error instanceof FlashError)) throw error;
    if (!slower) {
      print(process.stderr, `fairpeg linetest: ${error.message} Ask with --slower for that.`);
      return undefined;
    }
    fps = error.safeHz;
    return made(fps);
  });
  if (!parts) return 1;
  await put(out, new Uint8Array(await new Blob(parts).arrayBuffer()));
  if (fps !== shot.fps)
    print(
      process.stderr,
      `Written at ${fps} frames a second instead of ${shot.fps}, so that it does not flash: its timing is not the shot's.`,
    );
  if (out !== '-') {
    const seconds = lengthOf(plan.frames, rateOf(fps));
    print(
      process.stdout,
      `${out}: ${plan.frames} frames, ${Math.round(seconds * 1000) / 1000} s, ${plan.width} × ${plan.height} px`,
    );
  }
  return fps !== shot.fps || pictures.lacks() ? 1 : 0;
}
