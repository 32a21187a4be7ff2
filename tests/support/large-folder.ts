/** A large shot on disk for benches, drawn once and kept in `dist/` (drawing takes minutes). */
import { existsSync, mkdirSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { largeShot } from '../../sample-shots/large.ts';
import { ROOT } from './built-app.ts';

export interface LargeFolder {
  /** The shot's folder, with `shot.json`, `clean/` and `rough/`. */
  readonly folder: string;
  /** The same below the repository's root, with `/`. */
  readonly path: string;
  readonly seed: number;
}

/** 4096 × 2160 px, `count` drawings with rough and clean. */
export function largeFolder(count = 100, seed = 1): LargeFolder {
  const path = `dist/bench-shots/large-${count}-${seed}`;
  const folder = join(ROOT, path);
  if (existsSync(folder)) return { folder, path, seed };
  const aside = `${folder}.${process.pid}`;
  for (const file of largeShot({ count, seed })) {
    const place = join(aside, file.path);
    mkdirSync(dirname(place), { recursive: true });
    writeFileSync(place, file.bytes);
  }
  // Two benches may have drawn at once: the first to be done stays.
  if (existsSync(folder)) rmSync(aside, { recursive: true });
  else renameSync(aside, folder);
  return { folder, path, seed };
}
