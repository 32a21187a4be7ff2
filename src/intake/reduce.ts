/** Pictures made smaller without losing thin lines. */
import type { Picture } from '../line/picture.ts';

/**
 * The picture with its long edge at most `longEdgePx`, each new pixel the average of the area it covers
 * (fractional edges weighted), so that a line of any width keeps its darkness. The same picture when it is
 * small enough. Four channels are taken to be opaque. Values are averaged as stored: an anti-aliased line's value is its coverage.
 */
export function reduce(picture: Picture, longEdgePx: number): Picture {
  const longEdge = Math.max(picture.width, picture.height);
  if (longEdge <= longEdgePx) return picture;
  const size = (edge: number) => Math.max(1, Math.round((edge * longEdgePx) / longEdge));
  const [width, height] = [size(picture.width), size(picture.height)];
  const factor = picture.width / width;
  // 4096 to 2048 is the commonest case of all, and three times as fast without weights.
  return Number.isInteger(factor) && picture.height === height * factor
    ? averageBlocks(picture, factor)
    : average(picture, width, height);
}

/** Averages whole blocks of `factor` × `factor` pixels. */
function averageBlocks({ width, height, channels, data }: Picture, factor: number): Picture {
  const [newWidth, newHeight] = [width / factor, height / factor];
  const out = new Uint8Array(newWidth * newHeight * channels);
  if (channels === 1) greyBlocks(data, width, factor, out);
  else colourBlocks(words(data), width, factor, words(out));
  return { width: newWidth, height: newHeight, channels, data: out };
}

function words(data: Uint8Array): Uint32Array {
  return new Uint32Array(data.buffer, data.byteOffset, data.length / 4);
}

function greyBlocks(data: Uint8Array, width: number, factor: number, out: Uint8Array): void {
  if (factor === 2) {
    greyFours(data, width, out);
    return;
  }
  const area = factor * factor;
  for (let top = 0, at = 0; at < out.length; top += width * factor)
    for (let left = top; left < top + width; left += factor) {
      let sum = area >> 1;
      for (let j = 0, row = left; j < factor; j++, row += width)
        for (let i = row; i < row + factor; i++) sum += data[i]!;
      out[at++] = sum / area;
    }
}

/** Of 4096 px to 2048, unrolled: three times as fast. */
function greyFours(data: Uint8Array, width: number, out: Uint8Array): void {
  for (let top = 0, at = 0; at < out.length; top += 2 * width)
    for (let i = top; i < top + width; i += 2)
      out[at++] = (data[i]! + data[i + 1]! + data[i + width]! + data[i + width + 1]! + 2) >> 2;
}

/** Little-endian, opaque white. */
const white = 0xff_ff_ff_ff;

/** Most of a drawing is paper: a block without ink costs its reading only. */
function colourBlocks(pixels: Uint32Array, width: number, factor: number, out: Uint32Array): void {
  if (factor === 2) {
    colourFours(pixels, width, out);
    return;
  }
  const area = factor * factor;
  const half = area >> 1;
  for (let top = 0, at = 0; at < out.length; top += width * factor)
    for (let left = top; left < top + width; left += factor) {
      let all = white;
      for (let j = 0, row = left; j < factor; j++, row += width)
        for (let i = row; i < row + factor; i++) all &= pixels[i]!;
      if (all >>> 0 === white) {
        out[at++] = white;
        continue;
      }
      let [red, green, blue] = [half, half, half];
      for (let j = 0, row = left; j < factor; j++, row += width)
        for (let i = row; i < row + factor; i++) {
          const pixel = pixels[i]!;
          red += pixel & 255;
          green += (pixel >>> 8) & 255;
          blue += (pixel >>> 16) & 255;
        }
      out[at++] = 0xff_00_00_00 | ((blue / area) << 16) | ((green / area) << 8) | (red / area);
    }
}

/** As `greyFours`; red and blue are added side by side in one number. */
function colourFours(pixels: Uint32Array, width: number, out: Uint32Array): void {
  for (let top = 0, at = 0; at < out.length; top += 2 * width)
    for (let i = top; i < top + width; i += 2, at++) {
      const a = pixels[i]! | 0;
      const b = pixels[i + 1]! | 0;
      const c = pixels[i + width]! | 0;
      const d = pixels[i + width + 1]! | 0;
      if ((a & b & c & d) === -1) {
        out[at] = white;
        continue;
      }
      const redBlue = (a & 0xff00ff) + (b & 0xff00ff) + (c & 0xff00ff) + (d & 0xff00ff) + 0x20002;
      const green = (a & 0xff00) + (b & 0xff00) + (c & 0xff00) + (d & 0xff00) + 0x200;
      out[at] = 0xff_00_00_00 | ((redBlue >> 2) & 0xff00ff) | ((green >> 2) & 0xff00);
    }
}

function average({ width, height, channels, data }: Picture, newWidth: number, newHeight: number): Picture {
  const row = new Float32Array(newWidth * channels);
  const sum = new Float32Array(newWidth * channels);
  const out = new Uint8Array(newWidth * newHeight * channels);
  const columns = spans(width, newWidth);
  const rows = spans(height, newHeight);
  let reducedY = -1;
  for (let y = 0; y < newHeight; y++) {
    sum.fill(0);
    for (let sourceY = rows.first[y]!; sourceY <= rows.last[y]!; sourceY++) {
      // A source row on the border of two new ones is reduced once and used twice.
      if (sourceY !== reducedY) reduceRow(data, sourceY * width * channels, columns, channels, row);
      reducedY = sourceY;
      const weight = weightOf(rows, y, sourceY);
      for (let i = 0; i < sum.length; i++) sum[i] = sum[i]! + weight * row[i]!;
    }
    const at = y * sum.length;
    for (let i = 0; i < sum.length; i++) out[at + i] = sum[i]! + 0.5;
  }
  return { width: newWidth, height: newHeight, channels, data: out };
}

/** For each new pixel the old ones it covers, and how much of the first and last. */
interface Spans {
  readonly first: Int32Array;
  readonly last: Int32Array;
  readonly firstWeight: Float64Array;
  readonly lastWeight: Float64Array;
  readonly innerWeight: number;
}

function spans(from: number, to: number): Spans {
  const ratio = from / to;
  const first = new Int32Array(to);
  const last = new Int32Array(to);
  const firstWeight = new Float64Array(to);
  const lastWeight = new Float64Array(to);
  for (let i = 0; i < to; i++) {
    const [start, end] = [i * ratio, Math.min(from, (i + 1) * ratio)];
    first[i] = Math.floor(start);
    last[i] = Math.max(first[i]!, Math.min(from, Math.ceil(end - 1e-9)) - 1);
    firstWeight[i] = (Math.min(end, first[i]! + 1) - start) / ratio;
    lastWeight[i] = (end - Math.max(start, last[i]!)) / ratio;
  }
  return { first, last, firstWeight, lastWeight, innerWeight: 1 / ratio };
}

function weightOf(spans: Spans, index: number, source: number): number {
  if (source === spans.first[index]) return spans.firstWeight[index]!;
  return source === spans.last[index] ? spans.lastWeight[index]! : spans.innerWeight;
}

function reduceRow(data: Uint8Array, start: number, spans: Spans, channels: 1 | 4, row: Float32Array): void {
  if (channels === 1) reduceGreyRow(data, start, spans, row);
  else reduceColourRow(data, start, spans, row);
}

function reduceGreyRow(data: Uint8Array, start: number, spans: Spans, row: Float32Array): void {
  const { first, last, firstWeight, lastWeight, innerWeight } = spans;
  for (let x = 0; x < row.length; x++) {
    const from = start + first[x]!;
    const to = start + last[x]!;
    let value = firstWeight[x]! * data[from]!;
    for (let i = from + 1; i < to; i++) value += innerWeight * data[i]!;
    row[x] = to > from ? value + lastWeight[x]! * data[to]! : value;
  }
}

/** Red, green and blue; on paper A is 255 everywhere. */
function reduceColourRow(data: Uint8Array, start: number, spans: Spans, row: Float32Array): void {
  const { first, last, firstWeight, lastWeight, innerWeight } = spans;
  for (let x = 0, out = 0; out < row.length; x++, out += 4) {
    const from = start + first[x]! * 4;
    const to = start + last[x]! * 4;
    let weight = firstWeight[x]!;
    let [red, green, blue] = [weight * data[from]!, weight * data[from + 1]!, weight * data[from + 2]!];
    for (let i = from + 4; i < to; i += 4) {
      red += innerWeight * data[i]!;
      green += innerWeight * data[i + 1]!;
      blue += innerWeight * data[i + 2]!;
    }
    weight = to > from ? lastWeight[x]! : 0;
    row[out] = red + weight * data[to]!;
    row[out + 1] = green + weight * data[to + 1]!;
    row[out + 2] = blue + weight * data[to + 2]!;
    row[out + 3] = 255;
  }
}
