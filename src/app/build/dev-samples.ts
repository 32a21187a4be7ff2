/** `npm run dev`: the sample shots beside the app, as the build puts them there. */
import { createReadStream, statSync } from 'node:fs';
import { join, resolve, sep } from 'node:path';
import type { Plugin } from 'vite';
import { headersOf } from './headers.ts';
import { copySamples } from './samples.ts';

export function devSamples(root: string): Plugin {
  return {
    name: 'dev-samples',
    apply: 'serve',
    configureServer(server) {
      const folder = join(root, 'dist/dev-samples');
      copySamples(join(root, 'sample-shots'), folder);
      server.middlewares.use('/samples', (request, response, next) => {
        const path = decodeURIComponent((request.url ?? '').replace(/\?.*/, ''));
        const file = resolve(join(folder, path));
        const isHere = file.startsWith(folder + sep) && statSync(file, { throwIfNoEntry: false })?.isFile();
        if (!isHere) return next();
        response.setHeaders(new Map(Object.entries(headersOf(`samples${path}`))));
        createReadStream(file).pipe(response);
      });
    },
  };
}
