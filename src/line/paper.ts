import type { Picture } from './picture.ts';
import { type Shade, shadeOf } from './shade.ts';

/** What a drawing lies on, and the levels between which its line is read. All levels 0–255. */
export interface Paper {
  /** `scan` when the paper itself has grain; `transparent` when the drawing has no paper. */
  readonly kind: 'white' | 'transparent' | 'scan';
  /** Red, green and blue of bare paper. */
  readonly level: readonly [r: number, g: number, b: number];
  /** Departures from paper up to this are grain. */
  readonly whitePoint: number;
  /** Departure that counts as solid line, for each hue bin. */
  readonly blackPoints: readonly number[];
  /** How the light falls off over an unevenly lit scan; absent when the paper is even. */
  readonly shade?: Shade;
}

/** Rows looked at to find the paper; a 4K drawing still gives a quarter million samples. */
const SAMPLE_ROWS = 64;
/** Departures over this are line rather than grain or compression noise. */
const LINE_DEPARTURE = 40;
/** Grain (standard deviation) from which a drawing counts as a scan; a painted one has none at all. */
const SCAN_GRAIN = 0.4;
const HUE_BINS = 7;

/**
 * Finds the paper: white under a transparent drawing, else the mode of each channel's histogram, which the
 * line cannot shift since it covers a few per cent. The black point is the departure that all but the darkest
 * half per cent of line samples stay under (on scans: 5 %, as pencil grain has dark outliers), hue by hue, so
 * that a pale blue line is as much line as a black one.
 */
export function findPaper(picture: Picture): Paper {
  const { channels, height } = picture;
  const rowStep = Math.max(1, Math.floor(height / SAMPLE_ROWS));
  const transparent = channels === 4 && isTransparent(picture, rowStep);
  const grain = transparent ? 0 : grainOf(picture, rowStep);
  const scan = grain >= SCAN_GRAIN;
  const level = transparent ? ([255, 255, 255] as const) : modeOf(picture, rowStep, scan);
  const shade = scan ? shadeOf(picture, Math.max(...level)) : undefined;
  const whitePoint = scan ? Math.ceil(3 * grain) : 0;
  const blackPoints = blackPointsOf(picture, rowStep, { level, whitePoint, scan });
  const kind = transparent ? 'transparent' : scan ? 'scan' : 'white';
  const paper = { kind, level, whitePoint, blackPoints } as const;
  return shade === undefined ? paper : { ...paper, shade };
}

/** Which of seven hues a departure has: 0 for grey, else 1–6 by its strongest and second channel. */
export function hueBin(r: number, g: number, b: number): number {
  const most = Math.max(r, g, b);
  if (Math.min(r, g, b) >= 0.6 * most) return 0;
  if (most === r) return g >= b ? 1 : 2;
  if (most === g) return r >= b ? 3 : 4;
  return r >= g ? 5 : 6;
}

function isTransparent({ width, height, data }: Picture, rowStep: number): boolean {
  let clear = 0;
  let seen = 0;
  for (let y = 0; y < height; y += rowStep) {
    for (let at = 4 * y * width + 3; at < 4 * (y + 1) * width; at += 16) {
      seen++;
      if (data[at]! < 128) clear++;
    }
  }
  return clear > 0.02 * seen;
}

/** Standard deviation of the paper's grain, from neighbour differences (2σ/√π on average for normal noise),
 * which a gradient of light hardly touches; large differences are line. */
function grainOf({ width, height, channels, data }: Picture, rowStep: number): number {
  let sum = 0;
  let count = 0;
  for (let y = 0; y < height; y += rowStep) {
    const end = (y + 1) * width * channels;
    for (let at = y * width * channels; at + channels < end; at += 4 * channels) {
      const difference = Math.abs(data[at]! - data[at + channels]!);
      if (difference > 24) continue;
      sum += difference;
      count++;
    }
  }
  return count === 0 ? 0 : (0.886 * sum) / count;
}

function modeOf(
  { width, height, channels, data }: Picture,
  rowStep: number,
  scan: boolean,
): [number, number, number] {
  const mode = (channel: number): number => {
    const counts = new Uint32Array(256);
    for (let y = 0; y < height; y += rowStep) {
      const end = (y + 1) * width * channels;
      for (let at = y * width * channels + channel; at < end; at += 4 * channels) {
        counts[data[at]!] = counts[data[at]!]! + 1;
      }
    }
    // Grain spreads the paper over several levels; the fullest window of five is its middle.
    const reach = scan ? 2 : 0;
    let best = 255;
    let most = 0;
    // Nobody draws on paper darker than this: a mode below it is a solid black.
    for (let v = 96; v < 256; v++) {
      let sum = 0;
      for (let k = -reach; k <= reach; k++) sum += counts[v + k] ?? 0;
      if (sum > most) {
        most = sum;
        best = v;
      }
    }
    return best;
  };
  if (channels === 1) return Array<number>(3).fill(mode(0)) as [number, number, number];
  return [mode(0), mode(1), mode(2)];
}

function blackPointsOf(
  { width, height, channels, data }: Picture,
  rowStep: number,
  paper: { level: readonly [number, number, number]; whitePoint: number; scan: boolean },
): number[] {
  const counts = new Uint32Array((HUE_BINS + 1) * 256);
  const [paperR, paperG, paperB] = paper.level;
  for (let y = 0; y < height; y += rowStep) {
    for (let i = y * width; i < (y + 1) * width; i++) {
      const at = i * channels;
      const alpha = channels === 4 ? data[at + 3]! : 255;
      if (alpha === 0) continue;
      if (data[at] === paperR && (channels === 1 || (data[at + 1] === paperG && data[at + 2] === paperB)))
        continue;
      const r = paperR - data[at]!;
      const g = channels === 4 ? paperG - data[at + 1]! : r;
      const b = channels === 4 ? paperB - data[at + 2]! : r;
      const departure = Math.round((Math.max(r, g, b) * alpha) / 255);
      if (departure <= LINE_DEPARTURE) continue;
      const own = hueBin(r, g, b) * 256 + departure;
      const all = HUE_BINS * 256 + departure;
      counts[own] = counts[own]! + 1;
      counts[all] = counts[all]! + 1;
    }
  }
  const share = paper.scan ? 0.95 : 0.995;
  const total = sum(counts, HUE_BINS);
  const overall = total === 0 ? 255 : quantile(counts, HUE_BINS, share);
  return Array.from({ length: HUE_BINS }, (_, hue) => {
    // A hue of a few stray pixels (colour fringes of a scan) has no black point of its own.
    const known = sum(counts, hue) >= Math.max(20, 0.02 * total);
    return Math.max(paper.whitePoint + LINE_DEPARTURE, known ? quantile(counts, hue, share) : overall);
  });
}

const sum = (counts: Uint32Array, hue: number): number =>
  counts.subarray(hue * 256, hue * 256 + 256).reduce((a, b) => a + b, 0);

function quantile(counts: Uint32Array, hue: number, share: number): number {
  let left = share * sum(counts, hue);
  for (let v = 0; v < 256; v++) {
    left -= counts[hue * 256 + v]!;
    if (left <= 0) return v;
  }
  return 255;
}
