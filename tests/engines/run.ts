/** `npm run test:engines`: the whole job in every engine. Arguments go to the test runner, as `-t WebKit`. */
import { spawnSync } from 'node:child_process';

const { status } = spawnSync('npx', ['vitest', 'run', 'tests/engines', ...process.argv.slice(2)], {
  env: { ...process.env, FAIRPEG_ENGINES: 'whole' },
  stdio: 'inherit',
});
process.exitCode = status ?? 1;
