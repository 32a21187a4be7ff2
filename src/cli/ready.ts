/** `fairpeg ready`: whether a shot may go to ink and paint, and if not, why and where. */
import { mkdir, readFile, stat } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import * as v from 'valibot';
import { findingsOf } from '../check/findings.ts';
import { groupedPlaces } from '../check/ready/grouped.ts';
import { asksNothing, type HouseFound, houseFaults } from '../check/ready/house.ts';
import { changedSince, type Proof, proofOf } from '../check/ready/proof.ts';
import { type Ready, type ReadyPlace, readyOf } from '../check/ready/ready.ts';
import { unjudgedIn } from '../check/ready/unjudged.ts';
import { type SaidShot, saidShot } from '../check/said-shot.ts';
import { nodePainter } from '../export/node/node-painter.ts';
import { readPack } from '../export/pack.ts';
import { readyPdf } from '../export/ready-pdf.ts';
import { type DiskShot, readShot } from '../intake/node/read-shot.ts';
import { sayOdd } from '../intake/source.ts';
import type { HouseRules } from '../note/entry.ts';
import { houseRules } from '../note/house-rules.ts';
import { houseRulesIn, noRules } from '../note/said-house-rules.ts';
import { inWorkingOrder, standingsOf } from '../note/standing.ts';
import type { Shot } from '../shot/model.ts';
import { sayIssue } from '../shot/shot-json.ts';
import { cleanOf } from '../shot/takes.ts';
import { measure } from './check.ts';
import { oneShot, type PrintPaper, printPaper, runCommand, UsageError, understood } from './command.ts';
import { print, reason } from './print.ts';
import { put } from './put.ts';

const usage = `fairpeg ready FOLDER|PACK [OPTIONS]

Says whether a shot may go to ink and paint: every drawing cleaned up and approved, no note open, every exposure
filled, sizes right, the line closed, its weight within tolerance, no specks, and the rules of the house kept. What
people said of it is read from fairpeg/entries.json in the shot's folder, or from a pack.

  --json          all of it, with the hashes of what was proved, as public/schemas/ready.schema.json describes
  --pdf FILE      the same for print; --paper A4 (as usual) or Letter; FILE may be -, which is standard output
  --beside        writes both into FOLDER: fairpeg/ready.json and fairpeg/ready.pdf
  --house FILE    rules of the house for line from a JSON file, instead of those said of the shot:
                  { "edges": "hard", "paper": "white", "colours": [{ "colour": "#c81e1e", "what": "shadow" }],
                    "withinLevels": 4 }; edges: either, soft, hard; paper: either, white, transparent
  --still FILE    measures nothing: says whether what FILE (written by --json or --beside) proved still holds
  --quiet         no progress on standard error

Exit code: 0 ready, 1 not ready, or not what was proved any more, 2 it could not be told.`;

/** 0 ready, 1 not, 2 it could not be told. */
export const run = (args: readonly string[]): Promise<number> =>
  runCommand(
    {
      name: 'ready',
      usage,
      read,
      work: (wanted: Wanted) =>
        wanted.still === undefined ? prove(wanted) : stillHolds(wanted, wanted.still),
    },
    args,
  );

interface Wanted {
  readonly folder: string;
  readonly json: boolean;
  readonly pdf: string | undefined;
  readonly paper: PrintPaper;
  readonly beside: boolean;
  readonly house: string | undefined;
  readonly still: string | undefined;
  readonly quiet: boolean;
}

function read(args: readonly string[]): Wanted | undefined {
  const { values, positionals } = understood(() => parse(args));
  if (values.help) return undefined;
  const folder = oneShot(positionals);
  const { json = false, pdf, paper, beside = false, house, still, quiet = false } = values;
  if (json && pdf === '-') throw new UsageError('Only one of --json and --pdf - goes to standard output.');
  if (still !== undefined && (json || beside || pdf !== undefined || house !== undefined))
    throw new UsageError('--still measures nothing and writes nothing: ask it alone.');
  return { folder, json, pdf, paper: printPaper(paper), beside, house, still, quiet };
}

function parse(args: readonly string[]) {
  return parseArgs({
    args: [...args],
    allowPositionals: true,
    options: {
      json: { type: 'boolean' },
      pdf: { type: 'string' },
      paper: { type: 'string', default: 'A4' },
      beside: { type: 'boolean' },
      house: { type: 'string' },
      still: { type: 'string' },
      quiet: { type: 'boolean' },
      help: { type: 'boolean', short: 'h' },
    },
  });
}

async function prove(wanted: Wanted): Promise<number> {
  const { folder, json, pdf, paper, beside, quiet } = wanted;
  if (beside && !(await stat(folder)).isDirectory())
    throw new UsageError(`${folder} is no folder; name a file after --pdf, or take --json.`);
  const given = wanted.house === undefined ? undefined : await houseFrom(wanted.house);
  const disk = await readShot(folder, { decode: true });
  for (const odd of disk.odd) print(process.stderr, sayOdd(odd));
  const said = saidOf(disk);
  if (!said) return 2;
  const house = given ?? said.house;
  const ready = await readyIn(disk, said, house, quiet);
  const { shot, tolerances } = said;
  const proof = proofOf(shot, ready, { tolerances, house, at: new Date() });
  const text = `${JSON.stringify(proof, undefined, 2)}\n`;
  const printed = async (): Promise<Uint8Array> =>
    readyPdf(proof, {
      paper,
      painter: nodePainter(async () => undefined),
      printed: proof.at.slice(0, 10),
    });
  if (beside) {
    await mkdir(join(folder, 'fairpeg'), { recursive: true });
    await put(join(folder, 'fairpeg', 'ready.json'), text);
    await put(join(folder, 'fairpeg', 'ready.pdf'), await printed());
  }
  if (pdf !== undefined) await put(pdf, await printed());
  if (pdf !== '-') print(process.stdout, json ? text.trimEnd() : tableOf(proof));
  return ready.ready ? 0 : 1;
}

/** With what lies beside it; undefined when that is broken: what was said decides. */
function saidOf(disk: DiskShot): (SaidShot & { readonly house: HouseRules }) | undefined {
  const beside = readPack(disk.shot, disk.beside);
  for (const sentence of beside.odd) print(process.stderr, sentence);
  if (beside.broken) return undefined;
  return { ...saidShot(disk.shot, beside.entries), house: houseRulesIn(beside.entries) };
}

async function readyIn(
  disk: DiskShot,
  { shot, notes, tolerances }: SaidShot,
  house: HouseRules,
  quiet: boolean,
): Promise<Ready> {
  const workers = availableParallelism();
  const measures = await measure({ ...disk, shot }, { workers, tolerances, quiet });
  return readyOf({
    shot,
    notes,
    standings: inWorkingOrder(shot, standingsOf(notes, findingsOf(shot, measures, tolerances))),
    measuring: false,
    unjudged: unjudgedIn(shot, measures, tolerances.leakPx),
    tolerances,
    house,
    houseFound: await houseIn(disk, shot, house),
  });
}

async function houseIn(disk: DiskShot, shot: Shot, house: HouseRules): Promise<Map<string, HouseFound>> {
  const found = new Map<string, HouseFound>();
  if (asksNothing(house)) return found;
  for (const { drawings } of shot.levels)
    for (const drawing of drawings) {
      const clean = cleanOf(drawing);
      if (!clean || found.has(clean.sha256)) continue;
      try {
        found.set(clean.sha256, houseFaults(await disk.picture(clean), house));
      } catch (error) {
        found.set(clean.sha256, { refused: reason(error) });
      }
    }
  return found;
}

async function jsonIn(file: string): Promise<unknown> {
  const text = await readFile(file, 'utf8');
  try {
    return JSON.parse(text);
  } catch (error) {
    throw new UsageError(`${file} is not JSON: ${reason(error)}.`);
  }
}

async function houseFrom(file: string): Promise<HouseRules> {
  const value = await jsonIn(file);
  const given = typeof value === 'object' && value !== null && !Array.isArray(value) ? value : undefined;
  if (!given) throw new UsageError(`${file} holds no rules; they are an object with edges, paper, colours.`);
  const unknown = Object.keys(given).find((key) => !(key in noRules) || key === 'kind');
  if (unknown !== undefined) throw new UsageError(`${file}: there is no rule “${unknown}”.`);
  const result = v.safeParse(houseRules, { ...noRules, ...given });
  if (result.success) return result.output;
  const [issue] = result.issues;
  throw new UsageError(`${file}: ${v.getDotPath(issue) ?? 'it'} does not fit: it ${sayIssue(issue)}.`);
}

const provedSchema = v.object({
  format: v.literal('fairpeg ready'),
  v: v.literal(1),
  ready: v.boolean(),
  at: v.string(),
  levels: v.array(
    v.object({
      name: v.string(),
      exposures: v.array(v.object({ drawing: v.string(), frame: v.number(), length: v.number() })),
      drawings: v.array(
        v.object({ label: v.string(), take: v.nullable(v.number()), sha256: v.nullable(v.string()) }),
      ),
    }),
  ),
});

async function stillHolds({ folder }: Wanted, file: string): Promise<number> {
  const result = v.safeParse(provedSchema, await jsonIn(file));
  if (!result.success) throw new UsageError(`${file} was not written by fairpeg ready.`);
  const proof: Pick<Proof, 'ready' | 'at' | 'levels'> = result.output;
  const said = saidOf(await readShot(folder));
  if (!said) return 2;
  const changed = changedSince(said.shot, proof);
  for (const sentence of changed) print(process.stdout, sentence);
  const day = proof.at.slice(0, 10);
  if (changed.length > 0) return 1;
  print(
    process.stdout,
    proof.ready
      ? `Every drawing and exposure is as it was proved ready on ${day}.`
      : `Every drawing and exposure is as on ${day}; it was not ready then.`,
  );
  return proof.ready ? 0 : 1;
}

function tableOf({ title, ready, lines, aside }: Proof): string {
  const mark = { holds: '[x]', not: '[ ]', waits: '[ ]' } as const;
  const nameOf = ({ level, drawing }: ReadyPlace): string => (level ? `${level} ${drawing}` : drawing);
  const placed = (places: readonly ReadyPlace[]): string[] =>
    groupedPlaces(places).map(({ says, places }) => {
      const names = places.map(nameOf).join(', ');
      const box = places[0]?.bbox;
      return `      ${names ? `${names}: ` : ''}${says}${box ? ` at [${box.join(', ')}]` : ''}`;
    });
  return [
    `${title}: ${ready ? 'ready for ink and paint' : 'not ready for ink and paint'}`,
    '',
    ...lines.flatMap(({ title, state, says, places, unjudged }) => [
      `${mark[state]} ${title}${says ? ` (${says})` : ''}`,
      ...placed(places),
      ...placed(unjudged),
    ]),
    ...(aside.length > 0 ? ['', 'For the eye; this stops nothing:', ...placed(aside)] : []),
  ].join('\n');
}
