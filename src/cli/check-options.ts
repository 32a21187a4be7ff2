import { readFile } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { parseArgs } from 'node:util';
import * as v from 'valibot';
import { defaultTolerances, type Tolerances, tolerancesSchema } from '../check/tolerances.ts';
import { oneShot, UsageError, understood } from './command.ts';

export interface CheckArguments {
  readonly folder: string;
  readonly form: 'table' | 'json' | 'csv';
  readonly workers: number;
  readonly level: string | undefined;
  readonly drawing: string | undefined;
  readonly tolerances: Tolerances;
  readonly quiet: boolean;
}

export const checkUsage = `fairpeg check FOLDER [--json | --csv] [OPTIONS]

Measures every drawing of a shot (a folder or a zip: see the README for its layout) against its rough, the
keys, its chart and its neighbours, and says what is beyond tolerance. Nothing is written to the folder.

  --json               all measures and findings, as public/schemas/check.schema.json describes
  --csv                the findings, RFC 4180
                       (neither: the findings as a table to read)
  --level NAME         findings of this level only
  --drawing LABEL      findings of this drawing only
  --set NAME=NUMBER    one tolerance; may be repeated
  --tolerances FILE    tolerances from a JSON file, { "weight": 0.2, … }
  --workers N          workers that measure at once (here: ${availableParallelism()})
  --quiet              no progress on standard error

Tolerances and their defaults; lengths (…Px) are px of a drawing 2048 px wide and grow with the paper:
${Object.entries(defaultTolerances)
  .map(([name, value]) => `  ${name.padEnd(18)} ${value}`)
  .join('\n')}

Exit code: 0 nothing found, 1 findings, 2 it could not be checked.`;

/** The command line understood, or `undefined` when help is asked for. Rejects with a `UsageError`. */
export async function readCheckArguments(args: readonly string[]): Promise<CheckArguments | undefined> {
  const { values, positionals } = understood(() => parse(args));
  if (values.help) return undefined;
  const folder = oneShot(positionals, 'the folder or zip of a shot');
  if (values.json && values.csv) throw new UsageError('Choose either --json or --csv.');
  const workers = values.workers === undefined ? availableParallelism() : Number(values.workers);
  if (!Number.isInteger(workers) || workers < 1 || workers > 64) {
    throw new UsageError(`--workers takes a whole number from 1 to 64, not “${values.workers}”.`);
  }
  return {
    folder,
    form: values.json ? 'json' : values.csv ? 'csv' : 'table',
    workers,
    level: values.level,
    drawing: values.drawing,
    tolerances: await tolerancesFrom(values.tolerances, values.set ?? []),
    quiet: values.quiet ?? false,
  };
}

function parse(args: readonly string[]) {
  return parseArgs({
    args: [...args],
    allowPositionals: true,
    options: {
      json: { type: 'boolean' },
      csv: { type: 'boolean' },
      help: { type: 'boolean', short: 'h' },
      quiet: { type: 'boolean' },
      workers: { type: 'string' },
      level: { type: 'string' },
      drawing: { type: 'string' },
      tolerances: { type: 'string' },
      set: { type: 'string', multiple: true },
    },
  });
}

async function tolerancesFrom(file: string | undefined, sets: readonly string[]): Promise<Tolerances> {
  let given: Record<string, unknown> = {};
  if (file !== undefined) {
    try {
      given = JSON.parse(await readFile(file, 'utf8')) as Record<string, unknown>;
    } catch (error) {
      throw new UsageError(`${file} could not be read as JSON: ${(error as Error).message}.`);
    }
  }
  for (const set of sets) {
    const [name, value, ...more] = set.split('=');
    if (!name || !value || more.length > 0) throw new UsageError(`--set takes NAME=NUMBER, not “${set}”.`);
    given = { ...given, [name]: Number(value) };
  }
  const result = v.safeParse(tolerancesSchema, given);
  if (result.success) return result.output;
  const [issue] = result.issues;
  const name = issue.path?.map(({ key }) => String(key)).join('.') ?? 'the tolerances';
  const known = Object.keys(defaultTolerances);
  throw new UsageError(
    known.includes(name)
      ? `The tolerance “${name}” must be a number from 0 up, not ${JSON.stringify(given[name])}.`
      : `There is no tolerance “${name}”; there are ${known.join(', ')}.`,
  );
}
