/** Assets of earlier builds stay on the host for tabs that still run them, and go after two more. */
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { keepReleases } from '../../../src/app/build/releases.ts';

test('the two builds before stay beside the newest; building the same again counts once', () => {
  const out = mkdtempSync(join(tmpdir(), 'fairpeg-host-'));
  const assets = join(out, 'assets');
  const build = (name: string): string[] => {
    const putEarlierBack = keepReleases(out);
    rmSync(assets, { recursive: true, force: true });
    mkdirSync(assets);
    writeFileSync(join(assets, `desk-${name}.js`), name);
    putEarlierBack();
    return readdirSync(assets).sort();
  };
  expect(build('a')).toEqual(['desk-a.js']);
  expect(build('b')).toEqual(['desk-a.js', 'desk-b.js']);
  expect(build('b')).toEqual(['desk-a.js', 'desk-b.js']);
  expect(build('c')).toEqual(['desk-a.js', 'desk-b.js', 'desk-c.js']);
  expect(build('d')).toEqual(['desk-b.js', 'desk-c.js', 'desk-d.js']);
  rmSync(out, { recursive: true });
});
