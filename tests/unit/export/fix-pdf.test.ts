import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { fixPdf } from '../../../src/export/fix-pdf.ts';
import { nodePainter } from '../../../src/export/node/node-painter.ts';
import { cropRound } from '../../../src/export/painter.ts';
import type { FixRow } from '../../../src/note/fix-list.ts';
import { fixRow } from './make.ts';

const drawing = await sharp({ create: { width: 1920, height: 1080, channels: 3, background: '#fff' } })
  .composite([
    {
      input: Buffer.from(
        '<svg width="900" height="500"><circle cx="300" cy="300" r="150" fill="none" stroke="#000" stroke-width="6"/></svg>',
      ),
      left: 600,
      top: 200,
    },
  ])
  .png()
  .toBuffer();
const painter = nodePainter(async (sha256) => (sha256 === 'none' ? undefined : drawing));

async function readBack(rows: readonly FixRow[], paper: 'A4' | 'Letter' = 'A4') {
  const bytes = await fixPdf(rows, {
    title: 'The ferry bell: fix list',
    paper,
    painter,
    printed: '25 Nov 2026',
  });
  // Read back by a general-purpose library (pdf.js).
  const { getDocument, OPS } = await import('pdfjs-dist/legacy/build/pdf.mjs');
  const doc = await getDocument({ data: new Uint8Array(bytes), verbosity: 0 }).promise;
  const pages = [];
  for (let number = 1; number <= doc.numPages; number++) {
    const page = await doc.getPage(number);
    const { items } = await page.getTextContent();
    const { fnArray } = await page.getOperatorList();
    pages.push({
      pictures: fnArray.filter((operator) => operator === OPS.paintImageXObject).length,
      size: [page.view[2], page.view[3]],
      text: items.map((item) => ('str' in item ? item.str : '')).join('\n'),
      items: items.flatMap((item) => ('str' in item ? [item] : [])),
    });
  }
  return { pages };
}

describe('the fix list on paper', () => {
  test('each row with its number, drawing, frames, text and replies can be selected', async () => {
    const { pages } = await readBack([
      fixRow({
        text: 'The cuff opens; close it.',
        replies: [{ who: 'Jo', whenMs: 0, text: 'closed in take 3' }],
      }),
      fixRow({ id: 'b', drawing: '9', knockOn: ['7', '5'], image: 'none' }),
    ]);
    expect(pages).toHaveLength(1);
    for (const part of [
      '1.',
      '12A',
      'The cuff opens; close it.',
      'Jo: closed in take 3',
      'look again at 7, 5',
      '0+07',
      'Page 1 of 1',
    ])
      expect(pages[0]?.text).toContain(part);
  });

  test('a hundred rows run over numbered pages; none is lost', async () => {
    const rows = Array.from({ length: 100 }, (_, i) =>
      fixRow({ id: `r${i}`, text: `mend no ${i + 1}!`, image: 'none' }),
    );
    const { pages } = await readBack(rows);
    expect(pages.length).toBeGreaterThan(10);
    const text = pages.map((page) => page.text).join('\n');
    for (let i = 1; i <= 100; i++) expect(text).toContain(`mend no ${i}!`);
    pages.forEach((page, index) => expect(page.text).toContain(`Page ${index + 1} of ${pages.length}`));
  });

  test.each([
    // ISO 216: 210 × 297 mm; ANSI A: 8.5 × 11 in; 72 points an inch.
    ['A4', [(210 / 25.4) * 72, (297 / 25.4) * 72]],
    ['Letter', [612, 792]],
  ] as const)('%s has its size', async (paper, [width, height]) => {
    const { pages } = await readBack([fixRow({ image: 'none' })], paper);
    expect(pages[0]?.size[0]).toBeCloseTo(width, 1);
    expect(pages[0]?.size[1]).toBeCloseTo(height, 1);
  });

  test.each(['Łucja Ćwik', 'Ирина', '山田 花子', 'مريم', 'श्रीदेवी', '✎ 😀'])(
    '%s is there, and can be selected',
    async (who) => {
      const { pages } = await readBack([fixRow({ who, text: who, image: 'none' })]);
      expect(pages[0]?.text.normalize()).toContain(who);
    },
  );

  test('nothing lies outside the page, long words and long notes included', async () => {
    const text = `${'x'.repeat(400)} ${'a long note that goes on '.repeat(300)}`;
    const { pages } = await readBack([
      fixRow({ text, image: 'none' }),
      fixRow({ id: 'b', text: 'after', image: 'none' }),
    ]);
    expect(pages.length).toBeGreaterThan(1);
    for (const { items, size } of pages)
      for (const item of items) {
        const [x, y] = [item.transform[4] as number, item.transform[5] as number];
        expect(x, item.str).toBeGreaterThanOrEqual(39);
        expect(x + item.width, item.str).toBeLessThanOrEqual((size[0] ?? 0) - 39);
        expect(y, item.str).toBeGreaterThan(20);
      }
    expect(pages.at(-1)?.text).toContain('after');
  });

  test('a note that gives another size than its picture has is printed all the same', async () => {
    const stroke = { colour: 'red' as const, widthPx: 9, points: [3000, 1700, 0.5, 3400, 1900, 0.5] };
    const odd = fixRow({ sizePx: [3840, 2160], box: [3000, 1700, 400, 200], strokes: [stroke] });
    const { pages } = await readBack([odd]);
    expect(pages.map(({ pictures }) => pictures)).toEqual([1]);
  });

  test('an empty list says so', async () => {
    const { pages } = await readBack([]);
    expect(pages[0]?.text).toContain('Nothing to mend.');
  });
});

test('the crop has the shape of the picture, holds the place and stays inside', () => {
  for (const box of [
    [0, 0, 10, 10],
    [1900, 1070, 20, 10],
    [900, 500, 700, 20],
    [0, 0, 1920, 1080],
  ] as const) {
    const [x, y, width, height] = cropRound(box, [1920, 1080]);
    expect(width / height).toBeCloseTo(1920 / 1080, 2);
    expect(x).toBeGreaterThanOrEqual(0);
    expect(y).toBeGreaterThanOrEqual(0);
    expect(x + width).toBeLessThanOrEqual(1920);
    expect(y + height).toBeLessThanOrEqual(1080);
    expect(x).toBeLessThanOrEqual(box[0]);
    expect(x + width).toBeGreaterThanOrEqual(box[0] + box[2]);
  }
});
