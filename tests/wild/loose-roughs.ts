/** Loose roughs from fresh seeds: the misses, then a line of figures each. */
import type { Looseness } from '../support/loose-rough.ts';
import { looseTally } from '../support/loose-tally.ts';

export function printLooseRoughs(count: number, seed: number): void {
  const sizes: readonly [Looseness, number][] = [
    ['tied down', 1],
    ['usual', 1],
    ['very loose', 1],
    ['usual', 2],
    ['very loose', 2],
  ];
  for (const [looseness, scale] of sizes) {
    const many = scale === 1 ? count : Math.ceil(count / 4);
    const { wrong, missed } = looseTally({ looseness, set: 'judge', seed, count: many, scale });
    for (const line of wrong) console.log(`  not planted: ${line}`);
    for (const line of missed) console.log(`  missed: ${line}`);
    console.log(
      `Rough ${looseness}, ${2048 * scale} px wide, seed ${seed}: ${wrong.length} false in ${many} drawings, ${many - missed.length} of ${many} displacements found`,
    );
  }
}
