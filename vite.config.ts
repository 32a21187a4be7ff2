import { defineConfig } from 'vitest/config';
import { devSamples } from './src/app/build/dev-samples.ts';

export default defineConfig({
  root: 'src/app',
  // Relative, so that the built app also works from a folder of any static host.
  base: './',
  publicDir: '../../public',
  // The test runner's own server needs none.
  plugins: process.env['VITEST'] === undefined ? [devSamples(import.meta.dirname)] : [],
  build: {
    outDir: '../../dist/app',
    emptyOutDir: true,
    target: ['es2023', 'safari17.4', 'chrome124'],
    assetsInlineLimit: 0,
    // `src/app/build/budgets.ts` holds what is loaded first; the late parts may be large.
    chunkSizeWarningLimit: 2000,
    sourcemap: true,
  },
  worker: { format: 'es' },
  server: { port: 4173 },
  test: {
    root: '.',
    include: ['tests/**/*.test.ts'],
    // Browser and fault tests share one built app and one browser, started once.
    // Safety nets, not measurements: a browser without a graphics card on a busy machine is slow.
    testTimeout: 480_000,
    hookTimeout: 480_000,
    maxWorkers: 2,
    // No test file leaves anything behind in its process; a new one for each would cost a fifth of the whole run.
    isolate: false,
  },
});
