/** `npm run wild`: the measures on fresh seeds. `npm run wild -- 100 7`: a hundred drawings of each kind, seed 7. */
import { printLooseRoughs } from './loose-roughs.ts';

const [count = 20, seed = Math.floor(Math.random() * 1e6)] = process.argv.slice(2, 4).map(Number);
printLooseRoughs(count, seed);
