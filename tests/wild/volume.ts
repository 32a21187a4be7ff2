/** Volume over the shot from fresh seeds: the misses, then a line of figures. */
import { volumeTally } from '../support/volume-tally.ts';

export function printVolume(count: number, seed: number): void {
  const { pops, faultless, wrong, beside, missed, covered, refused } = volumeTally('judge', count, seed);
  for (const line of wrong) console.log(`  not planted: ${line}`);
  for (const line of beside) console.log(`  beside a pop: ${line}`);
  for (const line of missed) console.log(`  missed: ${line}`);
  const ofPops = ([12, 6] as const).map((share) => {
    const { asked, told, worded } = pops[share];
    return `of ${asked} pops of ${share} % ${told} told, ${worded} worded rightly`;
  });
  console.log(
    `Volume over the shot, ${count} of each kind, seed ${seed}: ${ofPops.join('; ')}; ${wrong.length} told in ${faultless} drawings of shots where nothing pops, ${beside.length} beside pops; of ${covered} that are hidden or cut ${refused} refused with a reason`,
  );
}
