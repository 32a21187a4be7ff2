/** What the app may weigh. Over its budget, or matching no file: the build fails. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliCompressSync, constants } from 'node:zlib';

/** JavaScript the first screen waits for, after Brotli. */
export const FIRST_LOAD_BYTES = 70_000;
/** Everything the service worker fetches before the app counts as installed, as stored (not compressed). */
export const PRECACHE_BYTES = 500_000;
/**
 * Parts that no one flips with (PDF writing and its fonts, TIFF, the checks, the lists, retakes, line tests, passes with QR
 * codes): kept right after installation instead of within it, and the shelf says when all of it is there. A part that is
 * renamed falls back into the precache, and its budget speaks up.
 */
export const KEPT_LATER =
  /chart-parts|pdf|fontkit|UTIF|tiff|checks|path-room|takes\.worker|retakes|reline|redraw|fix-|fixes-desk|progress|ready|show-|movie|apng|contact|studio-screen|notes-file|passes|\.(ttf|woff2)$/i;

/** An entry of Vite's manifest, keyed by source; only what is read here. */
export interface Chunk {
  readonly file: string;
  readonly isEntry?: boolean;
  readonly imports?: readonly string[];
  readonly css?: readonly string[];
}

/** The page's entry scripts and everything they import statically. */
export function firstLoad(manifest: Readonly<Record<string, Chunk>>): { js: string[]; css: string[] } {
  const seen = new Set<string>();
  const visit = (key: string): void => {
    if (seen.has(key)) return;
    seen.add(key);
    for (const next of manifest[key]?.imports ?? []) visit(next);
  };
  for (const [key, chunk] of Object.entries(manifest)) if (chunk.isEntry === true) visit(key);
  const chunks = [...seen].map((key) => manifest[key]).filter((chunk) => chunk !== undefined);
  return {
    js: [...new Set(chunks.map((chunk) => chunk.file).filter((file) => file.endsWith('.js')))],
    css: [...new Set(chunks.flatMap((chunk) => chunk.css ?? []))],
  };
}

export const brotli = (data: Uint8Array): Buffer =>
  brotliCompressSync(data, { params: { [constants.BROTLI_PARAM_QUALITY]: 11 } });

const kB = (bytes: number): string => `${(bytes / 1000).toFixed(1)} kB`;

/** Throws when `files` is empty or weighs more than `limitBytes`; returns the weight and a line to print. */
export function weigh(
  name: string,
  folder: string,
  files: readonly string[],
  limitBytes: number,
  size: (data: Uint8Array) => number,
): { readonly bytes: number; readonly line: string } {
  if (files.length === 0)
    throw new Error(`The budget "${name}" matches no file: mend the build or the budget.`);
  const sizes = files.map((file) => [file, size(readFileSync(join(folder, file)))] as const);
  const bytes = sizes.reduce((sum, [, own]) => sum + own, 0);
  if (bytes <= limitBytes) return { bytes, line: `${name}: ${kB(bytes)} of ${kB(limitBytes)}` };
  const heaviest = sizes.sort((a, b) => b[1] - a[1]).slice(0, 8);
  throw new Error(
    `The budget "${name}" is passed: ${kB(bytes)}, limit ${kB(limitBytes)}.\n` +
      heaviest.map(([file, own]) => `  ${kB(own)}  ${file}`).join('\n'),
  );
}
