/** Bundles `sw/` into one classic script, `sw.js`, with the list of files to keep. */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'vite';

/** Assets carry their hash in the name; everything else gets its content's digest as revision. */
const kept = (out: string, file: string): { url: string; revision: string | null } => ({
  url: file,
  revision: file.startsWith('assets/')
    ? null
    : createHash('sha256')
        .update(readFileSync(join(out, file)))
        .digest('hex')
        .slice(0, 16),
});

export async function buildWorker(job: {
  readonly root: string;
  readonly out: string;
  readonly precached: readonly string[];
  readonly later: readonly string[];
}): Promise<void> {
  await build({
    configFile: false,
    root: job.root,
    logLevel: 'warn',
    publicDir: false,
    define: {
      __PRECACHED__: JSON.stringify(job.precached.map((file) => kept(job.out, file))),
      __LATER__: JSON.stringify(job.later),
      'process.env.NODE_ENV': '"production"',
    },
    build: {
      outDir: job.out,
      emptyOutDir: false,
      sourcemap: true,
      target: ['es2023', 'safari17.4', 'chrome124'],
      rolldownOptions: {
        input: join(job.root, 'sw/sw.ts'),
        output: { format: 'iife', entryFileNames: 'sw.js' },
      },
    },
  });
}
