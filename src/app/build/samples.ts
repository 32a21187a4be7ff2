/** Puts the sample shots beside the app, with a list that the app's first start takes them from. */
import { createHash } from 'node:crypto';
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, relative, sep } from 'node:path';

interface SampleShot {
  /** The folder's name. */
  readonly id: string;
  readonly title: string;
  /** `path` within the shot's folder, with `/`. */
  readonly files: readonly { readonly path: string; readonly byteLength: number; readonly sha256: string }[];
}

const TAKEN = /\.(png|jpe?g|webp|tiff?|json|csv)$/i;

/** A shot is a folder with a `rough` or a `clean` folder somewhere below it. */
export function copySamples(from: string, to: string): SampleShot[] {
  const shots: SampleShot[] = [];
  for (const folder of existsSync(from) ? readdirSync(from, { withFileTypes: true }) : []) {
    if (!folder.isDirectory()) continue;
    const root = join(from, folder.name);
    const paths = readdirSync(root, { recursive: true, withFileTypes: true })
      .filter((found) => found.isFile() && TAKEN.test(found.name))
      .map((found) => relative(root, join(found.parentPath, found.name)).split(sep).join('/'))
      .sort();
    if (!paths.some((path) => /(^|\/)(rough|clean)\//.test(path))) continue;
    const files = paths.map((path) => {
      const data = readFileSync(join(root, path));
      return { path, byteLength: data.length, sha256: createHash('sha256').update(data).digest('hex') };
    });
    const told = join(root, 'shot.json');
    const title = existsSync(told)
      ? (JSON.parse(readFileSync(told, 'utf8')) as { title?: string }).title
      : undefined;
    for (const { path } of files) cpSync(join(root, path), join(to, folder.name, path));
    shots.push({ id: folder.name, title: title ?? folder.name, files });
  }
  mkdirSync(to, { recursive: true });
  writeFileSync(join(to, 'index.json'), `${JSON.stringify({ shots }, undefined, 1)}\n`);
  return shots;
}
