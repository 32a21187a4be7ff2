/**
 * Assets of earlier builds stay beside the new ones: a tab that runs an earlier build loads parts of it late.
 * `releases.json` in the built app names each build's assets, the newest first.
 */
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** A studio's tablets are looked at every few days; three builds back is longer than a tab lives. */
const keptReleases = 3;

type Release = readonly string[];

/** Puts the assets in `out` aside before they are built over. The answer puts them back beside the new ones. */
export function keepReleases(out: string): () => void {
  const list = join(out, 'releases.json');
  const assets = join(out, 'assets');
  const earlier = existsSync(list) ? (JSON.parse(readFileSync(list, 'utf8')) as readonly Release[]) : [];
  const aside = mkdtempSync(join(tmpdir(), 'fairpeg-releases-'));
  if (existsSync(assets)) cpSync(assets, aside, { recursive: true });
  return () => {
    mkdirSync(assets, { recursive: true });
    const now = readdirSync(assets).sort();
    const others = earlier.filter((release) => release.join() !== now.join());
    const releases = [now, ...others].slice(0, keptReleases);
    for (const file of new Set(releases.flat())) {
      const there = join(assets, file);
      if (!existsSync(there) && existsSync(join(aside, file))) cpSync(join(aside, file), there);
    }
    writeFileSync(list, `${JSON.stringify(releases)}\n`);
    rmSync(aside, { recursive: true, force: true });
  };
}
