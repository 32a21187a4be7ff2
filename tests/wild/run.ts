/**
 * `npm run wild`: the measures on fresh seeds. `npm run wild -- spacing`, `-- path`, `-- roughs`, `-- volume`, `-- parts` or
 * `-- large`: that one alone;
 * `-- spacing 100 7`: a hundred of each kind, seed 7.
 */
import { printChartParts } from './chart-parts.ts';
import { printLargeShot } from './large-shot.ts';
import { printLooseRoughs } from './loose-roughs.ts';
import { printPath } from './path.ts';
import { printSpacing } from './spacing.ts';
import { printVolume } from './volume.ts';

const WORDS = {
  roughs: [printLooseRoughs, 20],
  spacing: [printSpacing, 8],
  parts: [printChartParts, 20],
  path: [printPath, 3],
  volume: [printVolume, 3],
  large: [printLargeShot, 20],
} as const;

const args = process.argv.slice(2);
const words = args.filter((arg) => Number.isNaN(Number(arg)));
const [count, seed = Math.floor(Math.random() * 1e6)] = args.map(Number).filter((arg) => !Number.isNaN(arg));
for (const word of words)
  if (!(word in WORDS)) throw new Error(`"${word}" is none of ${Object.keys(WORDS).join(', ')}`);
for (const [word, [print, usual]] of Object.entries(WORDS))
  if (words.length === 0 || words.includes(word)) await print(count ?? usual, seed);
