import { findPaper, hueBin, type Paper } from './paper.ts';
import type { Picture } from './picture.ts';
import { Workspace } from './workspace.ts';

/** Coverage from which a pixel counts as line: 0.4 of 255. Below one half, so that a hair line of 1 px that
 * falls between two pixel rows (0.5 and 0.5) does not break; each edge moves out by 0.1 px for it. */
export const LINE_FROM = 102;

/** A drawing as ink: how much of each pixel the line covers. */
export interface Ink {
  readonly width: number;
  readonly height: number;
  /** `width × height` values, 0 bare paper … 255 solid line, rows from the top. */
  readonly coverage: Uint8Array;
  readonly paper: Paper;
}

/**
 * Turns pixels into ink: the departure from paper on the channel where it departs most, so coloured lines
 * count, between a white point (the paper's own noise) and a black point (the darkest line of that hue).
 * Transparent drawings are composited over white paper (W3C Compositing Level 1, source-over). Only what is
 * darker than paper counts.
 *
 * The coverage belongs to `workspace`; give it back with `workspace.release(ink.coverage)`.
 * @throws RangeError when the data does not hold width × height × channels bytes.
 */
export function inkOf(picture: Picture, workspace = new Workspace()): Ink {
  const { width, height, channels, data } = picture;
  const wanted = width * height * channels;
  if (data.length !== wanted || !(width > 0 && height > 0)) {
    throw new RangeError(
      `A ${width} × ${height} drawing of ${channels} channels takes ${wanted} bytes, not ${data.length}.`,
    );
  }
  const paper = findPaper(picture);
  const coverage = workspace.bytes(width * height);
  if (paper.shade !== undefined) fromUnevenPaper(picture, paper, coverage);
  else if (channels === 1) fromGrey(picture, paper, coverage);
  else fromColour(picture, paper, coverage);
  return { width, height, coverage, paper };
}

/** Departure (0–255, of the channel that departs most) and hue bin to coverage, as one table of 7 × 256. */
function coverageTable(paper: Paper): Uint8Array {
  const table = new Uint8Array(paper.blackPoints.length * 256);
  for (const [hue, black] of paper.blackPoints.entries()) {
    for (let departure = 0; departure < 256; departure++) {
      const a = (departure - paper.whitePoint) / (black - paper.whitePoint);
      table[hue * 256 + departure] = Math.round(255 * Math.min(1, Math.max(0, a)));
    }
  }
  return table;
}

function fromGrey({ data }: Picture, paper: Paper, coverage: Uint8Array): void {
  const departures = coverageTable(paper);
  const table = new Uint8Array(256);
  for (let v = 0; v < 256; v++) table[v] = departures[Math.max(0, paper.level[0] - v)]!;
  // Nearly every pixel is bare paper; 32 of those cost one comparison.
  const length = coverage.length >> 2;
  const words = wordsOf(data, length);
  const bare = paper.level[0] * 0x01010101;
  const isBare = table[paper.level[0]] === 0;
  coverage.fill(0);
  for (let k = 0; k < length; ) {
    if (isBare) while (k + 8 <= length && allBare(words, k, bare | 0)) k += 8;
    for (const stop = Math.min(k + 8, length); k < stop; k++)
      for (let i = 4 * k; i < 4 * k + 4; i++) coverage[i] = table[data[i]!]!;
  }
  for (let i = 4 * length; i < coverage.length; i++) coverage[i] = table[data[i]!]!;
}

function fromColour({ data, width, height }: Picture, paper: Paper, coverage: Uint8Array): void {
  const table = coverageTable(paper);
  const [paperR, paperG, paperB] = paper.level;
  const words = wordsOf(data, width * height);
  coverage.fill(0);
  // Nearly every pixel is bare: wholly transparent, or the paper itself. Eight of those cost one comparison.
  const bare = bareWord(paper);
  // The last colour met of each red: a line's edge takes few, in no order.
  const known = new Int32Array(256).fill(bare);
  const knownCoverage = new Uint8Array(256);
  for (let i = 0; i < words.length; ) {
    while (i + 8 <= words.length && allBare(words, i, bare)) i += 8;
    for (const stop = Math.min(i + 8, words.length); i < stop; i++) {
      const word = words[i]!;
      if (word === bare) continue;
      const slot = word & 255;
      if (known[slot] !== word) {
        const alpha = data[4 * i + 3]! / 255;
        // Source-over on paper: paper − (α·colour + (1 − α)·paper) = α·(paper − colour).
        const r = alpha * (paperR - data[4 * i]!);
        const g = alpha * (paperG - data[4 * i + 1]!);
        const b = alpha * (paperB - data[4 * i + 2]!);
        known[slot] = word;
        knownCoverage[slot] = table[hueBin(r, g, b) * 256 + Math.max(0, Math.round(Math.max(r, g, b)))]!;
      }
      coverage[i] = knownCoverage[slot]!;
    }
  }
}

const allBare = (words: Int32Array, i: number, bare: number): boolean =>
  ((words[i]! ^ bare) |
    (words[i + 1]! ^ bare) |
    (words[i + 2]! ^ bare) |
    (words[i + 3]! ^ bare) |
    (words[i + 4]! ^ bare) |
    (words[i + 5]! ^ bare) |
    (words[i + 6]! ^ bare) |
    (words[i + 7]! ^ bare)) ===
  0;

/** The commonest pixel as one word: all zero where nothing was drawn, else opaque paper. */
function bareWord(paper: Paper): number {
  const pixel = paper.kind === 'transparent' ? [0, 0, 0, 0] : [...paper.level, 255];
  return new Int32Array(Uint8Array.from(pixel).buffer)[0]!;
}

function fromUnevenPaper(
  { data, width, height, channels }: Picture,
  paper: Paper,
  coverage: Uint8Array,
): void {
  const table = coverageTable(paper);
  const [paperR, paperG, paperB] = paper.level;
  const shade = paper.shade!;
  const gain = new Float32Array(width);
  for (let y = 0; y < height; y++) {
    shade.row(y, gain);
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      const at = i * channels;
      const light = gain[x]!;
      const alpha = channels === 4 ? data[at + 3]! / 255 : 1;
      const r = alpha * (paperR * light - data[at]!);
      const g = channels === 4 ? alpha * (paperG * light - data[at + 1]!) : r;
      const b = channels === 4 ? alpha * (paperB * light - data[at + 2]!) : r;
      const most = Math.min(255, Math.max(0, Math.round(Math.max(r, g, b))));
      coverage[i] = table[hueBin(r, g, b) * 256 + most]!;
    }
  }
}

/** The pixels as 32-bit words, copied only when the bytes do not start on a word. */
function wordsOf(data: Uint8Array, length: number): Int32Array {
  return data.byteOffset % 4 === 0
    ? new Int32Array(data.buffer, data.byteOffset, length)
    : new Int32Array(data.slice().buffer, 0, length);
}
