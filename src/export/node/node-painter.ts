/** Paints for exports at a prompt, with sharp (librsvg, Pango and the system's fonts). */
import sharp from 'sharp';
import type { Box, Picture } from '../../line/picture.ts';
import type { FixRow } from '../../note/fix-list.ts';
import { marksOf } from '../marks.ts';
import type { ExportPainter, PaintedText } from '../painter.ts';
import type { DrawnLetter } from '../pdf-lacking.ts';
import { escapeMarkup, sheetSvg } from './sheet-svg.ts';

/** Pixels a PDF point: 4 are 288 dpi, fine enough for print. */
const textScale = 4;

/** `bytesOf` gives the file of a picture by SHA-256, undefined when it is not there. */
export function nodePainter(bytesOf: (sha256: string) => Promise<Uint8Array | undefined>): ExportPainter {
  // sharp's text input crops to the ink, so its width serves for measuring; an SVG knows its baseline.
  const textWidth = async (text: string, size: number, bold = false): Promise<number> => {
    if (text.trim() === '') return 0;
    const font = `sans-serif ${bold ? 'bold ' : ''}${size}`;
    const { info } = await sharp({
      text: { text: escapeMarkup(text), font, dpi: 72 * textScale, rgba: true, wrap: 'none' },
    })
      .raw()
      .toBuffer({ resolveWithObject: true });
    return info.width / textScale;
  };
  const paintText = async (text: string, size: number): Promise<PaintedText> => {
    const [width, height, baseline] = [
      Math.ceil(await textWidth(text, size)) + size / 2,
      size * 1.6,
      size * 1.1,
    ];
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${width * textScale}" height="${height * textScale}" viewBox="0 0 ${width} ${height}"><text x="0" y="${baseline}" font-family="sans-serif" font-size="${size}">${escapeMarkup(text)}</text></svg>`;
    return { png: await sharp(Buffer.from(svg)).png().toBuffer(), width, height, baseline };
  };
  return {
    paintText,
    textWidth,
    paintRow: async (row, crop, longEdgePx, shownWidth) => {
      const bytes = row.image === undefined ? undefined : await bytesOf(row.image);
      return bytes && paintCrop(bytes, row, crop, longEdgePx, shownWidth);
    },
    async paintSheet(marks, options): Promise<Picture> {
      const { data, info } = await sharp(Buffer.from(sheetSvg(marks, options)), { unlimited: true })
        .ensureAlpha()
        .raw()
        .toBuffer({ resolveWithObject: true });
      const pixels = new Uint8Array(data.buffer, data.byteOffset, data.byteLength);
      return { width: info.width, height: info.height, channels: 4, data: pixels };
    },
    pngOf: ({ width, height, channels, data }) =>
      sharp(data, { raw: { width, height, channels } })
        .toColourspace(channels === 1 ? 'b-w' : 'srgb')
        .png()
        .toBuffer(),
  };
}

async function paintCrop(
  bytes: Uint8Array,
  row: FixRow,
  crop: Box,
  longEdgePx: number,
  shownWidth: number,
): Promise<Uint8Array> {
  const [left, top, width, height] = crop;
  const scale = Math.min(1, longEdgePx / Math.max(width, height));
  const [outWidth, outHeight] = [Math.round(width * scale), Math.round(height * scale)];
  const paths = marksOf(row, shownWidth / width).flatMap(({ d, colour, widthPx, edgePx }) => [
    `<path d="${d}" fill="none" stroke="#fff" stroke-width="${(widthPx ?? 0) + 2 * edgePx}" stroke-linejoin="round"/>`,
    widthPx === undefined
      ? `<path d="${d}" fill="${colour}"/>`
      : `<path d="${d}" fill="none" stroke="${colour}" stroke-width="${widthPx}" stroke-linecap="round"/>`,
  ]);
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${outWidth}" height="${outHeight}" viewBox="${crop.join(' ')}">${paths.join('')}</svg>`;
  const { autoOrient } = await sharp(bytes).metadata();
  // A note says what size it was made at; the file has the last word.
  const [x, y] = [autoOrient.width / row.sizePx[0], autoOrient.height / row.sizePx[1]];
  const [fromX, fromY] = [Math.floor(left * x), Math.floor(top * y)];
  const drawing = await sharp(bytes)
    .autoOrient()
    .flatten({ background: '#ffffff' })
    .extract({
      left: fromX,
      top: fromY,
      width: Math.max(1, Math.min(autoOrient.width - fromX, Math.round(width * x))),
      height: Math.max(1, Math.min(autoOrient.height - fromY, Math.round(height * y))),
    })
    .resize(outWidth, outHeight, { fit: 'fill', kernel: 'lanczos3' })
    .toBuffer();
  return sharp(drawing)
    .composite([{ input: Buffer.from(svg) }])
    .jpeg({ quality: 88 })
    .toBuffer();
}

/** sharp's text input crops to the ink. */
export async function nodeLetter(letter: string): Promise<DrawnLetter> {
  const { data, info } = await sharp({
    text: { text: escapeMarkup(letter), font: 'sans-serif 48', dpi: 72, rgba: true, wrap: 'none' },
  })
    .extractChannel('alpha')
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, coverage: new Uint8Array(data) };
}
