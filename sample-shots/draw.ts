/** `npm run samples`: draws the sample shots into this folder. The same program draws the same bytes. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { sampleFiles } from './shots.ts';

const here = dirname(fileURLToPath(import.meta.url));
let total = 0;
for (const { path, bytes } of sampleFiles()) {
  const target = join(here, path);
  mkdirSync(dirname(target), { recursive: true });
  writeFileSync(target, bytes);
  total += bytes.length;
  console.log(`${path}  ${Math.ceil(bytes.length / 1024)} kB`);
}
console.log(`${(total / 1e6).toFixed(1)} MB in all`);
