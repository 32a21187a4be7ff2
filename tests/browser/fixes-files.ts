/** Files handed out by the page, read back by general-purpose libraries. */
import { readFile } from 'node:fs/promises';
import { unzipSync } from 'fflate';
import Papa from 'papaparse';
import type { Page } from 'playwright';
import sharp from 'sharp';

/** Has a file made by the button of that name, saves it, and gives its name and bytes. */
export async function handedOut(page: Page, button: string): Promise<{ name: string; bytes: Uint8Array }> {
  await page.getByRole('button', { name: button, exact: true }).tap();
  const save = page.getByRole('button', { name: 'Save', exact: true });
  await save.waitFor();
  const [download] = await Promise.all([page.waitForEvent('download'), save.tap()]);
  const path = await download.path();
  return { name: download.suggestedFilename(), bytes: new Uint8Array(await readFile(path)) };
}

export function tableOf(bytes: Uint8Array): Record<string, string>[] {
  const text = new TextDecoder('utf-8', { ignoreBOM: true }).decode(bytes).replace(/^\uFEFF/, '');
  return Papa.parse<Record<string, string>>(text, { header: true, skipEmptyLines: true }).data;
}

export async function printOf(
  bytes: Uint8Array,
): Promise<{ pages: number; size: number[]; text: string; pictures: number }> {
  const { getDocument, OPS } = await import('pdfjs-dist/legacy/build/pdf.mjs');
  const doc = await getDocument({ data: bytes.slice(), verbosity: 0 }).promise;
  const page = await doc.getPage(1);
  const { items } = await page.getTextContent();
  const { fnArray } = await page.getOperatorList();
  return {
    pages: doc.numPages,
    size: [page.view[2] ?? 0, page.view[3] ?? 0],
    text: items.map((item) => ('str' in item ? item.str : '')).join('\n'),
    pictures: fnArray.filter((fn) => fn === OPS.paintImageXObject).length,
  };
}

export const unpacked = (bytes: Uint8Array): ReadonlyMap<string, Uint8Array> =>
  new Map(Object.entries(unzipSync(bytes)));

/** Size of a picture, and its pixels in red pencil. */
export async function redIn(bytes: Uint8Array): Promise<{ width: number; height: number; red: number }> {
  const { data, info } = await sharp(bytes).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  let red = 0;
  for (let at = 0; at < data.length; at += 3) {
    const [r = 0, g = 0, b = 0] = data.subarray(at, at + 3);
    if (r > 150 && g < 90 && b < 90) red++;
  }
  return { width: info.width, height: info.height, red };
}
