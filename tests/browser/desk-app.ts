/**
 * The built app with one small invented shot in place of the samples. Every drawing carries its own number
 * as a row of black squares, so that a screenshot says which drawing is on the paper, whatever the app says.
 */
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import type { Browser, Locator, Page } from 'playwright';
import sharp from 'sharp';
import { expect } from 'vitest';
import { type AppServer, appServer } from '../support/app-server.ts';
import { openTablet, type TABLETS, until } from '../support/browser.ts';
import { builtApp } from '../support/built-app.ts';

const widthPx = 960;
const heightPx = 540;
/** One square is 24 px; the first is always black, then four bits, the lowest first. */
const squarePx = 24;
const leftPx = 60;
/** Cleans carry their squares here, roughs lower, so that both can be read at once. */
const rowsPx = { clean: 60, rough: 120 } as const;

type Layer = keyof typeof rowsPx;

const squares = (layer: Layer, number: number): string =>
  [1, ...[0, 1, 2, 3].map((bit) => (number >> bit) & 1)]
    .map((on, n) =>
      on
        ? `<rect x="${leftPx + n * 2 * squarePx}" y="${rowsPx[layer]}" width="${squarePx}" height="${squarePx}"/>`
        : '',
    )
    .join('');

/** A kettle that boils over: the lid rises with the number. */
const kettle = (layer: Layer, number: number): string => {
  const lift = number * 12;
  const stroke = layer === 'clean' ? 'stroke="black" stroke-width="4"' : 'stroke="#7a5cc0" stroke-width="2"';
  return `<g fill="none" ${stroke}><path d="M380 ${250 - lift}q100 -50 200 0M340 270h280l-20 180h-240zM620 320q70 -10 90 -60"/></g>`;
};

const svg = (layer: Layer, number: number): Buffer =>
  Buffer.from(
    `<svg xmlns="http://www.w3.org/2000/svg" width="${widthPx}" height="${heightPx}"><rect width="100%" height="100%" fill="white"/>${kettle(layer, number)}${squares(layer, number)}</svg>`,
  );

/** Drawing n (1 to 7) stands at place n; 5 has no clean-up. */
const drawings = [
  { label: '1', role: 'key' },
  { label: '2', role: 'inbetween', chart: { from: '1', to: '4', fraction: 0.3333 } },
  { label: '3', role: 'inbetween' },
  { label: '4', role: 'breakdown', chart: { from: '1', to: '6', fraction: 0.5 } },
  { label: '5', role: 'inbetween' },
  { label: '6', role: 'key' },
  { label: '7', role: 'key' },
] as const;

/** Frames: 1 1 2 2 3 4 4 5 6 6 6 7 (12 frames at 12 a second). */
export const sheet = ['1', '1', '2', '2', '3', '4', '4', '5', '6', '6', '6', '7'];

const exposures = sheet.flatMap((drawing, index) =>
  sheet[index - 1] === drawing
    ? []
    : [{ drawing, frame: index + 1, length: sheet.filter((other) => other === drawing).length }],
);

export const title = 'The kettle boils over';

export async function kettleFiles(): Promise<Map<string, Buffer>> {
  const files = new Map<string, Buffer>();
  for (const { label } of drawings) {
    const name = `${label.padStart(4, '0')}.png`;
    const png = (layer: Layer): Promise<Buffer> =>
      sharp(svg(layer, Number(label)))
        .png()
        .toBuffer();
    files.set(`rough/${name}`, await png('rough'));
    if (label !== '5') files.set(`clean/${name}`, await png('clean'));
  }
  const told = { title, fps: 12, levels: [{ name: '', drawings, exposures }] };
  files.set('shot.json', Buffer.from(JSON.stringify(told)));
  return files;
}

export interface KettleApp {
  readonly server: AppServer;
  close(): Promise<void>;
}

export async function kettleApp(): Promise<KettleApp> {
  const folder = mkdtempSync(join(tmpdir(), 'fairpeg-desk-'));
  cpSync(await builtApp(), folder, {
    recursive: true,
    filter: (path) => !/[/\\]samples([/\\]|$)/.test(path),
  });
  const files = await kettleFiles();
  for (const [path, data] of files) {
    const place = join(folder, 'samples/kettle', path);
    mkdirSync(dirname(place), { recursive: true });
    writeFileSync(place, data);
  }
  const list = [...files].map(([path, data]) => ({ path, byteLength: data.length }));
  writeFileSync(
    join(folder, 'samples/index.json'),
    JSON.stringify({ shots: [{ id: 'kettle', title, files: list }] }),
  );
  // The host's list of headers names every file it serves.
  const headers = join(folder, 'headers.json');
  const rules = JSON.parse(readFileSync(headers, 'utf8')) as Record<string, Record<string, string>>;
  for (const { path } of list)
    rules[`samples/kettle/${path}`] = { 'content-type': 'application/octet-stream' };
  writeFileSync(headers, JSON.stringify(rules));
  const server = await appServer({ folder });
  return {
    server,
    async close() {
      await server.stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** A tablet whose shelf holds the kettle shot. */
export async function openShelf(
  browser: Browser,
  { server }: KettleApp,
  kind: keyof typeof TABLETS = 'landscape',
): Promise<Page> {
  const tablet = await openTablet(browser, kind, 1);
  const page = await tablet.newPage();
  await page.goto(server.url);
  await page.getByRole('heading', { name: title }).waitFor({ timeout: 60_000 });
  await until(page, () => !document.querySelector('.progress-line'), undefined);
  return page;
}

export async function openDesk(
  browser: Browser,
  app: KettleApp,
  kind: keyof typeof TABLETS = 'landscape',
): Promise<Page> {
  const page = await openShelf(browser, app, kind);
  await page.getByRole('heading', { name: title }).click();
  await onPaper(page, '1');
  return page;
}

/** Waits until the desk says that this drawing is on the paper, sharp. */
export async function onPaper(page: Page, label: string): Promise<void> {
  await until(
    page,
    (wanted) => {
      const number = document.querySelector<HTMLElement>('.number');
      return number?.dataset['shown'] === wanted && number.dataset['quality'] !== 'thumb';
    },
    label,
  );
}

/** To drawing 2, with the panel that edits it beside the paper. */
export async function editSecond(page: Page): Promise<Locator> {
  await page.keyboard.press('ArrowRight');
  await onPaper(page, '2');
  await page.keyboard.press('e');
  return page.getByRole('complementary', { name: 'Edit' });
}

/** Waits until another drawing than this is on the paper. */
export const offPaper = (page: Page, label: string | undefined): Promise<void> =>
  until(page, (last) => document.querySelector<HTMLElement>('.number')?.dataset['shown'] !== last, label);

export const numberOf = (page: Page): Promise<string | undefined> =>
  page.evaluate(() => document.querySelector<HTMLElement>('.number')?.dataset['shown']);

interface Shot {
  readonly data: Buffer;
  readonly width: number;
  readonly height: number;
}

async function screenshot(page: Page): Promise<Shot & { readonly box: { x: number; y: number } }> {
  const box = await page.locator('.stage').boundingBox();
  if (!box) throw new Error('There is no stage.');
  const png = await page.screenshot({ clip: box, scale: 'css' });
  const { data, info } = await sharp(png).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  return { data, width: info.width, height: info.height, box };
}

/**
 * Where the whole paper lies on the stage (in view, upright), from the pixels: its left and right edges in
 * the middle row, its top from the shot's proportions. `half` looks at one pane of two.
 */
function paperOn(
  { data, width, height }: Shot,
  from: number,
  to: number,
): { x: number; y: number; scale: number } {
  const y = Math.floor(height / 2);
  const isPaper = (x: number): boolean => (data[3 * (y * width + x)] ?? 0) > 225;
  let left = from;
  while (left < to && !isPaper(left)) left++;
  let right = to - 1;
  while (right > left && !isPaper(right)) right--;
  const scale = (right - left + 1) / widthPx;
  return { x: left, y: height / 2 - (heightPx * scale) / 2, scale };
}

interface Look {
  readonly pane?: 'whole' | 'left' | 'right';
  readonly dark?: number;
}

/**
 * The number that the picture itself carries in a layer's row; 0 when there are no squares. `dark` is how
 * dark a square must be (0 black, 255 white): fainter ones, as of an underlay, are found with a higher one.
 */
export const pictured = async (page: Page, layer: Layer, look: Look = {}): Promise<number> =>
  picturedIn(await screenshot(page), layer, look);

/** The same, in R, G, B of the stage alone. */
export function picturedIn(shot: Shot, layer: Layer, { pane = 'whole', dark = 90 }: Look = {}): number {
  const half = Math.floor(shot.width / 2);
  const [from, to] = pane === 'whole' ? [0, shot.width] : pane === 'left' ? [0, half] : [half, shot.width];
  const paper = paperOn(shot, from, to);
  const isDark = (n: number): boolean => {
    const x = Math.round(paper.x + paper.scale * (leftPx + n * 2 * squarePx + squarePx / 2));
    const y = Math.round(paper.y + paper.scale * (rowsPx[layer] + squarePx / 2));
    return (shot.data[3 * (y * shot.width + x)] ?? 255) < dark;
  };
  if (!isDark(0)) return 0;
  return [1, 2, 3, 4].reduce((sum, n) => sum + (isDark(n) ? 1 << (n - 1) : 0), 0);
}

/** Asks again until the answer is as expected: a screen is drawn when it is drawn. */
export const eventually = <T>(look: () => T): ReturnType<typeof expect.poll<T>> =>
  expect.poll(look, { timeout: 60_000 });
