/**
 * Gaps cut into line art at known places, by the renderer alone: the stroke is drawn once more in the paper's
 * white, dashed so that only a band of the wanted length shows (SVG 2, 13.5.6). The place is where pixels
 * changed. OpenCV says which regions of paper the cut joined.
 */
import type { Picture } from '../../src/line/picture.ts';
import { type LineArt, render } from './line-art.ts';
import type { loadOpenCv } from './opencv.ts';

type Cv = Awaited<ReturnType<typeof loadOpenCv>>;

export interface Cut {
  readonly whole: Picture;
  readonly cut: Picture;
  readonly xPx: number;
  readonly yPx: number;
  readonly widthPx: number;
}

const SHAPE = /<(?:path|circle|ellipse|line|polyline|polygon|rect)\b[^>]*?\/>/g;

/** How many shapes a piece of art has. */
export const shapeCount = ({ svg }: LineArt): number => svg.match(SHAPE)?.length ?? 0;

/** The art with `extra` shapes on top: one shape again, with other stroke attributes. */
function overdrawn(art: LineArt, shape: number, layers: readonly Record<string, string>[]): LineArt {
  const source = art.svg.match(SHAPE)![shape]!;
  const extra = layers.map((attributes) => {
    const kept = source.replace(/ (?:stroke|stroke-width|stroke-linecap|stroke-dasharray|fill)="[^"]*"/g, '');
    const added = Object.entries(attributes).map(([name, value]) => ` ${name}="${value}"`);
    return kept.replace(/^<(\w+)/, (tag) => `${tag} fill="none"${added.join('')}`);
  });
  return { ...art, svg: art.svg.replace(/<\/svg>\s*$/, `${extra.join('')}</svg>`) };
}

/** Takes `lengthUnits` of one stroke away from `atUnits` along it on. */
function erased(art: LineArt, shape: number, atUnits: number, lengthUnits: number, round: boolean): LineArt {
  const radius = round ? 1 : 0;
  const from = atUnits - radius;
  const band = lengthUnits + 2 * radius;
  const layers: Record<string, string>[] = [
    {
      stroke: 'white',
      'stroke-width': '2.6',
      'stroke-linecap': 'butt',
      'stroke-dasharray': `0 ${from} ${band} 9999`,
    },
  ];
  if (round) {
    const dots = `0 ${from} 0.001 ${band} 0.001 9999`;
    layers.push({
      stroke: 'black',
      'stroke-width': '2',
      'stroke-linecap': 'round',
      'stroke-dasharray': dots,
    });
  }
  return overdrawn(art, shape, layers);
}

interface Lost {
  readonly areaPx2: number;
  readonly xPx: number;
  readonly yPx: number;
  /** Edges of the rectangle that has the same second moments (variance = edge² / 12). */
  readonly longPx: number;
  readonly shortPx: number;
}

/** Ink lost from one picture to the other, and its middle; white paper. */
function lost(before: Picture, after: Picture): Lost {
  let [sum, sx, sy, sxx, sxy, syy] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < before.width * before.height; i++) {
    const a = (after.data[4 * i]! - before.data[4 * i]!) / 255;
    if (a <= 0) continue;
    sum += a;
    const x = (i % before.width) + 0.5;
    const y = Math.floor(i / before.width) + 0.5;
    sx += a * x;
    sy += a * y;
    sxx += a * x * x;
    sxy += a * x * y;
    syy += a * y * y;
  }
  const [xPx, yPx] = [sx / sum, sy / sum];
  const [xx, xy, yy] = [sxx / sum - xPx * xPx, sxy / sum - xPx * yPx, syy / sum - yPx * yPx];
  const root = Math.hypot((xx - yy) / 2, xy);
  return {
    areaPx2: sum,
    xPx,
    yPx,
    longPx: Math.sqrt(12 * ((xx + yy) / 2 + root)),
    shortPx: Math.sqrt(12 * Math.max(0, (xx + yy) / 2 - root)),
  };
}

/** Paper regions (4-connected) with area and the radius of the largest circle that fits. */
function paperRegions(cv: Cv, { width, height, data }: Picture) {
  const paper = new cv.Mat(height, width, cv.CV_8U);
  for (let i = 0; i < width * height; i++) paper.data[i] = 255 - data[4 * i]! < 102 ? 255 : 0;
  const [labels, stats, centroids, distance] = [new cv.Mat(), new cv.Mat(), new cv.Mat(), new cv.Mat()];
  const count = cv.connectedComponentsWithStats(paper, labels, stats, centroids, 4);
  cv.distanceTransform(paper, distance, cv.DIST_L2, cv.DIST_MASK_PRECISE);
  const inradius = new Float64Array(count);
  for (let i = 0; i < width * height; i++) {
    const label = labels.data32S[i]!;
    inradius[label] = Math.max(inradius[label]!, distance.data32F[i]!);
  }
  const result = { count, labels: labels.data32S.slice(), inradius, distance: distance.data32F.slice() };
  for (const mat of [paper, labels, stats, centroids, distance]) mat.delete();
  return result;
}

/**
 * Cuts one shape, or says undefined where the place is not suited: off the stroke, in a bend (where the way
 * along the stroke is no straight gap), at a corner, junction or end: the band with a stroke's width on
 * either side of it has not the area and moments of a plain rectangle; or where the gap does not
 * join exactly two regions, each wide enough to hold a circle of twice the gap's width.
 */
export function cutAt(
  cv: Cv,
  art: LineArt,
  options: { strokePx: number; shape: number; atUnits: number; gapPx: number; round: boolean },
): Cut | undefined {
  const { strokePx, shape, atUnits, gapPx, round } = options;
  const whole = render(art, strokePx, 'white');
  const unitPx = whole.width / art.gridUnits;
  const gapUnits = gapPx / unitPx;
  const wideUnits = gapUnits + 4;
  const wide = lost(whole, render(erased(art, shape, atUnits - 2, wideUnits, false), strokePx, 'white'));
  const edges = [wideUnits * unitPx, 2 * unitPx].sort((p, q) => q - p);
  const plain =
    Math.abs(wide.areaPx2 / (edges[0]! * edges[1]!) - 1) < 0.03 &&
    Math.abs(wide.longPx - edges[0]!) < 0.4 + 0.01 * edges[0]! &&
    Math.abs(wide.shortPx - edges[1]!) < 0.4 + 0.03 * edges[1]!;
  if (!plain) return undefined;
  const cut = render(erased(art, shape, atUnits, gapUnits, round), strokePx, 'white');
  const { xPx, yPx } = lost(whole, cut);
  const before = paperRegions(cv, whole);
  const after = paperRegions(cv, cut);
  if (after.count !== before.count - 1) return undefined;
  const joined = new Map<number, Set<number>>();
  for (let i = 0; i < before.labels.length; i++) {
    if (before.labels[i] === 0 || after.labels[i] === 0) continue;
    const parts = joined.get(after.labels[i]!) ?? new Set();
    joined.set(after.labels[i]!, parts.add(before.labels[i]!));
  }
  const parts = [...joined.values()].find((set) => set.size > 1);
  if (parts === undefined || [...parts].some((label) => before.inradius[label]! < gapPx)) return undefined;
  return { whole, cut, xPx, yPx, widthPx: gapPx };
}

/**
 * Whether the art has openings of its own up to `mostGapPx`: some region of paper falls apart into two rooms
 * when everything nearer to the line than half a gap is taken from it (a trapped ball: Zhang et al. 2009).
 */
export function openByDesign(cv: Cv, picture: Picture, mostGapPx: number): boolean {
  const { labels, distance } = paperRegions(cv, picture);
  for (let gapPx = 2; gapPx <= mostGapPx; gapPx += 2) {
    const mask = new cv.Mat(picture.height, picture.width, cv.CV_8U);
    for (let i = 0; i < distance.length; i++) mask.data[i] = distance[i]! > (gapPx + 1) / 2 ? 255 : 0;
    const [pieces, stats, centroids] = [new cv.Mat(), new cv.Mat(), new cv.Mat()];
    const count = cv.connectedComponentsWithStats(mask, pieces, stats, centroids, 8);
    const regionOfRoom = new Int32Array(count);
    for (let i = 0; i < labels.length; i++) regionOfRoom[pieces.data32S[i]!] = labels[i]!;
    const large = Array.from({ length: count - 1 }, (_, k) => k + 1).filter(
      (k) => stats.data32S[5 * k + 4]! >= gapPx * gapPx,
    );
    for (const mat of [mask, pieces, stats, centroids]) mat.delete();
    if (new Set(large.map((k) => regionOfRoom[k]!)).size < large.length) return true;
  }
  return false;
}
