/** The built app with a handful of sample drawings, so that a first start is quick. */
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { builtApp } from './built-app.ts';

interface SampleList {
  readonly shots: readonly {
    readonly id: string;
    readonly title: string;
    readonly files: readonly { readonly path: string }[];
  }[];
}

/** Takes the first three rough and clean drawings of the shot without levels. */
function fewSamples(app: string, folder: string): void {
  const all = (JSON.parse(readFileSync(join(app, 'samples/index.json'), 'utf8')) as SampleList).shots;
  const shot = all.find(({ files }) => files.some(({ path }) => path.startsWith('clean/')));
  if (shot === undefined) throw new Error('No sample shot without levels: draw the samples first.');
  const files = ['rough/', 'clean/'].flatMap((layer) =>
    shot.files.filter(({ path }) => path.startsWith(layer)).slice(0, 3),
  );
  for (const { path } of files) {
    cpSync(join(app, 'samples', shot.id, path), join(folder, 'samples', shot.id, path));
  }
  writeFileSync(join(folder, 'samples/index.json'), JSON.stringify({ shots: [{ ...shot, files }] }));
}

export interface SmallApp {
  readonly folder: string;
  /** Of its one shot: without `shot.json` the folder's name. */
  readonly title: string;
  remove(): void;
}

/** `from`: another build than the present one. */
export async function smallApp(from?: string): Promise<SmallApp> {
  const app = await builtApp();
  const folder = mkdtempSync(join(tmpdir(), 'fairpeg-app-'));
  mkdirSync(join(folder, 'samples'));
  cpSync(from ?? app, folder, { recursive: true, filter: (path) => !/[/\\]samples[/\\]./.test(path) });
  fewSamples(app, folder);
  const list = JSON.parse(readFileSync(join(folder, 'samples/index.json'), 'utf8')) as SampleList;
  return {
    folder,
    title: list.shots[0]?.id ?? '',
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}
