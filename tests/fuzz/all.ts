/** Everything that is fuzzed. A new one is named here, and runs in `npm test` and in `npm run fuzz`. */
import type { Fuzz } from './fuzz.ts';
import { http } from './http.ts';
import { parsers } from './parsers.ts';

export const fuzzes: readonly Fuzz[] = [...parsers, http];
