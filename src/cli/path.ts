/** `fairpeg path`: where a place of a drawing goes through the shot, its spacing, and the dots off its arc. */
import { availableParallelism } from 'node:os';
import { parseArgs } from 'node:util';
import { createNodePool } from '../check/node/node-pool.ts';
import type { PathDot } from '../check/path/follow.ts';
import { arcOnPaper, onPaper, PathFinder, pathOnPaper } from '../check/path/path-of.ts';
import { saidShot } from '../check/said-shot.ts';
import { readPack } from '../export/pack.ts';
import { readShot } from '../intake/node/read-shot.ts';
import { sayOdd } from '../intake/source.ts';
import type { DrawingMeasures } from '../line/measure-drawing.ts';
import type { Arc } from '../line/path/arc.ts';
import type { Point } from '../line/path/step-place.ts';
import { drawingLabelled, levelNamed } from '../shot/drawing-ref.ts';
import { type FlipSet, flipSet } from '../shot/flip-sets.ts';
import type { Drawing, ImageRef, Level, Shot } from '../shot/model.ts';
import { cleanOf } from '../shot/takes.ts';
import { runCommand, UsageError, understood } from './command.ts';
import { print } from './print.ts';
import { tellProgress } from './progress.ts';
import { tableOf } from './table-of.ts';

const SETS = { keys: 'keys', breakdowns: 'keys and breakdowns', all: 'all' } as const;

const usage = `fairpeg path FOLDER DRAWING X,Y [--set keys|breakdowns|all] [OPTIONS]

Follows a place, such as a nose or a fingertip, from the drawing that it is given on through its level, drawing to
drawing, and says where it lies in each, how far it went from one to the next, and which dots lie off the arc of the
others. X,Y are px of that drawing's picture, from its top left corner; what is printed is px of the paper, on which
pictures lie centred. A place that cannot be followed for sure is left out, with the reason. Nothing is written.

  --set SET       keys, breakdowns (keys and breakdowns) or all, as usual: the drawings whose dots make the arc
  --level NAME    the level of the drawing, where several have one of that label
  --json          as public/schemas/path.schema.json describes
  --workers N     workers that match at once (here: ${availableParallelism()})
  --quiet         no progress on standard error

Exit code: 0 no dot off the arc, 1 a dot off it, 2 the place could not be followed at all.`;

/** 0 nothing off, 1 a dot off the arc, 2 it could not be followed. */
export const run = (args: readonly string[]): Promise<number> =>
  runCommand({ name: 'path', usage, read, work: follow }, args);

interface Wanted {
  readonly folder: string;
  readonly drawing: string;
  readonly at: Point;
  readonly set: FlipSet['kind'] & (typeof SETS)[keyof typeof SETS];
  readonly level: string | undefined;
  readonly json: boolean;
  readonly workers: number;
  readonly quiet: boolean;
}

function read(args: readonly string[]): Wanted | undefined {
  const { values, positionals } = understood(() =>
    parseArgs({
      args: [...args],
      allowPositionals: true,
      options: {
        set: { type: 'string', default: 'all' },
        level: { type: 'string' },
        json: { type: 'boolean', default: false },
        workers: { type: 'string', default: String(availableParallelism()) },
        quiet: { type: 'boolean', default: false },
        help: { type: 'boolean', short: 'h' },
      },
    }),
  );
  if (values.help) return undefined;
  const [folder, drawing, place, ...more] = positionals;
  if (folder === undefined || drawing === undefined || place === undefined)
    throw new UsageError('Name the folder of a shot, a drawing and a place, such as 5 820,414.');
  if (more.length > 0) throw new UsageError(`“${more[0]}” is one too many; write the place as X,Y.`);
  const at = /^(-?[\d.]+),(-?[\d.]+)$/.exec(place)?.slice(1).map(Number);
  if (!at?.every(Number.isFinite)) throw new UsageError(`The place is X,Y in px, not “${place}”.`);
  const { set } = values;
  if (!Object.hasOwn(SETS, set)) throw new UsageError(`--set is keys, breakdowns or all, not “${set}”.`);
  const workers = Number(values.workers);
  if (!Number.isInteger(workers) || workers < 1 || workers > 64)
    throw new UsageError(`--workers takes a whole number from 1 to 64, not “${values.workers}”.`);
  const { level, json, quiet } = values;
  return {
    folder,
    drawing,
    at: [at[0]!, at[1]!],
    set: SETS[set as keyof typeof SETS],
    level,
    json,
    workers,
    quiet,
  };
}

async function follow(wanted: Wanted): Promise<number> {
  const disk = await readShot(wanted.folder);
  for (const odd of disk.odd) print(process.stderr, sayOdd(odd));
  const beside = readPack(disk.shot, disk.beside);
  for (const sentence of beside.odd) print(process.stderr, sentence);
  const { shot } = saidShot(disk.shot, beside.entries);
  const { level, image } = whereIs(shot, wanted);
  const drawings = flipSet(level, { kind: 'all' }).map((label) => drawingLabelled(level, label)!);
  const shown = new Set(flipSet(level, { kind: wanted.set }));
  const start = drawings.findIndex(({ label }) => label === wanted.drawing);
  if (start < 0)
    throw new UsageError(
      `Drawing ${wanted.drawing} is not on the exposure sheet, so nothing comes before or after it.`,
    );
  const [x, y] = wanted.at;
  if (x < 0 || y < 0 || x > image.width || y > image.height)
    throw new UsageError(
      `${x},${y} lies off drawing ${wanted.drawing}, which is ${image.width} × ${image.height} px.`,
    );
  const pool = createNodePool(wanted.workers, new URL('./check-worker.ts', import.meta.url));
  const tell = tellProgress((done, total) => `followed through ${done} of ${total}`);
  const signal = new AbortController().signal;
  const lineOf = async (drawing: Drawing): Promise<DrawingMeasures> => {
    const clean = await disk.bytes(cleanOf(drawing)!);
    const asked = { kind: 'drawing', key: drawing.label, clean, rough: undefined, mostGapPx: 24 } as const;
    return (await pool.ask(asked, { signal })) as DrawingMeasures;
  };
  try {
    const finder = new PathFinder({ pool, lineOf, signal });
    let done = 0;
    const found = await finder.follow(drawings, new Map([[start, wanted.at]]), {
      told: () => {
        if (!wanted.quiet) tell(++done, drawings.length);
      },
    });
    const all = pathOnPaper(found, drawings, shot);
    const rows = drawings.flatMap(({ label, role }, k): Row[] =>
      shown.has(label) ? [{ label, role, dot: all[k]!, isStart: k === start }] : [],
    );
    return told(
      rows,
      arcOnPaper(
        rows.map(({ dot }) => dot),
        shot,
      ),
      shot,
      level,
      wanted,
    );
  } finally {
    pool.close();
  }
}

/** The level and the picture that the place is given on. Throws a `UsageError` in words of the shot. */
function whereIs(shot: Shot, { drawing: label, level: name }: Wanted): { level: Level; image: ImageRef } {
  if (name !== undefined && !levelNamed(shot, name))
    throw new UsageError(`There is no level “${name}” in this shot.`);
  const levels = shot.levels.filter(
    (level) => (name ?? level.name) === level.name && drawingLabelled(level, label),
  );
  const [level, other] = levels;
  if (!level) throw new UsageError(`There is no drawing “${label}” in this shot.`);
  if (other)
    throw new UsageError(
      `Levels ${levels.map((one) => one.name).join(' and ')} each have a drawing ${label}; say --level.`,
    );
  const image = cleanOf(drawingLabelled(level, label)!);
  if (!image) throw new UsageError(`Drawing ${label} has no clean-up yet; name one that has.`);
  return { level, image };
}

interface Row {
  readonly label: string;
  readonly role: Drawing['role'];
  readonly dot: PathDot;
  readonly isStart: boolean;
}

function told(rows: readonly Row[], arc: Arc, shot: Shot, level: Level, wanted: Wanted): number {
  const isFound = rows.some(({ dot, isStart }) => dot.at && !isStart);
  if (wanted.json)
    print(process.stdout, JSON.stringify(jsonOf(rows, arc, shot, level, wanted), undefined, 2));
  else print(process.stdout, textOf(rows, arc, wanted));
  if (!isFound) {
    const why = rows.find(({ dot }) => !dot.at)?.dot;
    const reason = why && 'refused' in why ? `: ${why.refused}` : '';
    print(
      process.stderr,
      `fairpeg path: The place could not be followed to any other drawing${reason}. Try a corner or a tip near it.`,
    );
    return 2;
  }
  return arc.off.some(Boolean) ? 1 : 0;
}

const round = (value: number): number => Math.round(value * 10) / 10;

function textOf(rows: readonly Row[], arc: Arc, { drawing, at, set }: Wanted): string {
  const px = (value: number | undefined) => (value === undefined ? '' : value.toFixed(1));
  const table = rows.map(({ label, dot, isStart }, k) => {
    if (!dot.at) return [label, '', '', '', '', `not followed: ${dot.refused}`];
    const sure = isStart ? 'as given' : `± ${dot.errorPx.toFixed(1)} px`;
    const off = px(arc.offPx[k]);
    return [label, px(dot.at[0]), px(dot.at[1]), px(arc.spacingPx[k]), arc.off[k] ? `${off} OFF` : off, sure];
  });
  const off = rows.filter((_, k) => arc.off[k]).map(({ label }) => label);
  const says = off.length === 0 ? 'no dot off its arc' : `off its arc: ${off.join(', ')}`;
  return [
    `The place at ${at.join(',')} of drawing ${drawing}, through ${set}: ${says}`,
    '',
    ...tableOf(['drawing', 'x, px', 'y, px', 'spacing, px', 'off the arc, px', 'how sure'], table),
  ].join('\n');
}

function jsonOf(rows: readonly Row[], arc: Arc, shot: Shot, level: Level, { drawing, at, set }: Wanted) {
  return {
    format: 'fairpeg path',
    v: 1,
    title: shot.title,
    level: level.name,
    paperPx: shot.sizePx,
    place: { drawing, at: onPaper(at, cleanOf(drawingLabelled(level, drawing)!)!, shot, 1).map(round) },
    set,
    dots: rows.map(({ label, role, dot, isStart }, k) => ({
      drawing: label,
      ...(role && { role }),
      ...(dot.at
        ? {
            at: dot.at.map(round),
            errorPx: round(dot.errorPx),
            given: isStart,
            spacingPx: arc.spacingPx[k] === undefined ? null : round(arc.spacingPx[k]),
            offArcPx: arc.offPx[k] === undefined ? null : round(arc.offPx[k]),
            off: arc.off[k],
          }
        : { refused: dot.refused }),
    })),
  };
}
