/** Marks of a sheet as SVG, which sharp (librsvg) paints at a prompt. */
import type { SheetOptions } from '../painter.ts';
import { type SheetMark, sheetInk, sheetSoft } from '../sheet-marks.ts';

export function sheetSvg(
  marks: readonly SheetMark[],
  { sizePx: [width, height], scale, paper }: SheetOptions,
): string {
  const white = paper ? `<rect width="${width}" height="${height}" fill="#fff"/>` : '';
  const drawn = marks.map(elementOf).join('');
  return `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}">${white}<g transform="scale(${scale})">${drawn}</g></svg>`;
}

function elementOf(mark: SheetMark): string {
  if (mark.kind === 'picture') {
    const { x, y, width, height, png } = mark;
    const data = Buffer.from(png).toString('base64');
    return `<image x="${x}" y="${y}" width="${width}" height="${height}" preserveAspectRatio="none" xlink:href="data:image/png;base64,${data}"/>`;
  }
  const edge = mark.edge ?? 0;
  if (mark.kind === 'path') {
    const { d, colour, line } = mark;
    const light =
      edge > 0
        ? `<path d="${d}" fill="none" stroke="#fff" stroke-width="${(line ?? 0) + 2 * edge}" stroke-linejoin="round" stroke-linecap="round"/>`
        : '';
    return line === undefined
      ? `${light}<path d="${d}" fill="${colour}"/>`
      : `${light}<path d="${d}" fill="none" stroke="${colour}" stroke-width="${line}" stroke-linejoin="round" stroke-linecap="round"/>`;
  }
  const { text, x, y, size, anchor = 'start', bold, soft } = mark;
  const look = `x="${x}" y="${y}" font-family="sans-serif" font-size="${size}" text-anchor="${anchor}"${bold ? ' font-weight="bold"' : ''}`;
  const words = escapeMarkup(text);
  const light =
    edge > 0
      ? `<text ${look} fill="none" stroke="#fff" stroke-width="${2 * edge}" stroke-linejoin="round">${words}</text>`
      : '';
  return `${light}<text ${look} fill="${soft ? sheetSoft : sheetInk}">${words}</text>`;
}

export function escapeMarkup(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}
