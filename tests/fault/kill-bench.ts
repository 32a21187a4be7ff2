/** The long run of `kill.test.ts`: `npx tsx tests/fault/kill-bench.ts [SEED]`. Exits with 1 when anything is missing. */
import { killOverAndOver } from './killed-server.ts';

const seed = Number(process.argv[2] ?? 2026);
const result = await killOverAndOver({ kills: 60, atLeast: 12_000, clients: 8, seed });
const { kills, acknowledged, cutOff, missing, twice, integrity } = result;
process.stdout.write(
  `seed ${seed}: ${acknowledged} entries acknowledged over ${kills} SIGKILLs, ${cutOff} requests cut off, ${missing.length} missing, ${twice.length} stored twice, file ${integrity}\n`,
);
process.exitCode = missing.length === 0 && twice.length === 0 && integrity === 'ok' ? 0 : 1;
