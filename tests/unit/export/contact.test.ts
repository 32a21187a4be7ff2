import sharp from 'sharp';
import { expect, test } from 'vitest';
import { contactCells } from '../../../src/export/contact/cells.ts';
import { contactPdf } from '../../../src/export/contact/contact-pdf.ts';
import { contactPngs, pageNames } from '../../../src/export/contact/contact-png.ts';
import { nodePainter } from '../../../src/export/node/node-painter.ts';
import type { ImageRef, Shot } from '../../../src/shot/model.ts';
import { printOf } from '../../browser/fixes-files.ts';

const image = (sha256: string): ImageRef => ({
  sha256,
  width: 4096,
  height: 2160,
  mediaType: 'image/png',
  byteLength: 9,
});
/** Thirty drawings on twos, shown from the last to the first; 7 twice, 8 never; 9 is rough alone, 10 has no picture. */
const labels = Array.from({ length: 30 }, (_, n) => String(n + 1));
const shown = labels.filter((label) => label !== '8').reverse();
const shot: Shot = {
  id: 's',
  title: 'Ωmega & the <kite>',
  fps: 24,
  sizePx: [4096, 2160],
  levels: [
    {
      name: 'figure',
      drawings: labels.map((label) => ({
        label,
        ...(label === '30' && { role: 'key' as const }),
        ...(label === '2' && {
          role: 'inbetween' as const,
          chart: { from: '1', to: '30', fraction: 1 / 3 },
        }),
        ...(label !== '10' && { rough: image(`r${label}`) }),
        takes: label === '9' || label === '10' ? [] : [{ number: 1, image: image(`c${label}`) }],
      })),
      exposures: [
        ...shown.map((drawing, n) => ({ drawing, frame: 2 * n + 1, length: 2 })),
        { drawing: '7', frame: 59, length: 1 },
      ],
    },
  ],
};

test('every drawing once, in exposure order, with its role and frames', () => {
  const cells = contactCells(shot);
  expect(cells.map(({ label }) => label)).toEqual([...shown, '8']);
  const cell = (label: string) => cells.find((one) => one.label === label);
  expect(cell('30')).toMatchObject({ frames: 'frames 1–2', notation: { mark: 'circle', words: 'key' } });
  expect(cell('7')?.frames).toBe('frames 45–46, 59');
  expect(cell('8')?.frames).toBe('not on the sheet');
  expect(cell('9')).toMatchObject({ image: { sha256: 'r9' }, instead: 'rough' });
  expect(cell('10')?.image).toBeUndefined();
  expect(contactCells(shot, 'rough').find(({ label }) => label === '9')?.instead).toBeUndefined();
});

test('on paper and as pictures: pages, numbers, small pictures, one full picture asked for at a time', async () => {
  let [now, most, asked] = [0, 0, 0];
  const painter = nodePainter(async () => undefined);
  const options = {
    title: shot.title,
    sizePx: shot.sizePx,
    paper: 'A4' as const,
    painter,
    printed: '30 Nov 2026',
    async pictureOf(_: ImageRef, longEdgePx: number) {
      most = Math.max(most, ++now);
      asked++;
      await new Promise((done) => setTimeout(done));
      now--;
      expect(longEdgePx).toBeLessThanOrEqual(400);
      const [width, height] = [320, 169];
      return { width, height, channels: 1 as const, data: new Uint8Array(width * height).fill(40) };
    },
  };
  const cells = contactCells(shot);
  const told: number[] = [];
  const bytes = await contactPdf(cells, { ...options, onProgress: (done) => told.push(done) });
  expect([asked, most]).toEqual([29, 1]);
  expect(told.at(-1)).toBe(30);
  // Read by pdf.js. A4 is 210 × 297 mm (ISO 216); with four in a row and 24 on the first page.
  const read = await printOf(bytes);
  expect(read.pages).toBe(2);
  expect(read.size.map(Math.round)).toEqual([595, 842]);
  // The pictures, and the title, whose Ω the standard font does not hold.
  expect(read.pictures).toBeGreaterThanOrEqual(23);
  for (const words of ['30', 'key · figure', 'frames 1–2', 'Page 1 of 2', 'no picture', '30 drawings'])
    expect(read.text).toContain(words);

  const pages = await contactPngs(cells, options);
  expect(pages).toHaveLength(2);
  const { data, info } = await sharp(pages[0]).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  // 150 dots an inch: 8.27 × 11.69 in.
  expect([info.width, info.height]).toEqual([1240, 1754]);
  // The first small picture is grey 40: paper's left margin is 40 points, 83 px.
  const at = (x: number, y: number): number | undefined => data[(y * info.width + x) * 3];
  expect(at(190, 230)).toBe(40);
  expect(at(40, 230)).toBe(255);
  expect(pageNames('/tmp/a.b/sheet.png', 3)).toEqual([
    '/tmp/a.b/sheet.png',
    '/tmp/a.b/sheet-2.png',
    '/tmp/a.b/sheet-3.png',
  ]);
  const stop = new AbortController();
  stop.abort();
  await expect(contactPdf(cells, { ...options, signal: stop.signal })).rejects.toMatchObject({
    name: 'AbortError',
  });
});
