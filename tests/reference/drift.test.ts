/**
 * Drift against the published clean-up benchmark's own example (Yan et al. 2020; Siyao et al. 2023), and on
 * published line art (lucide-static, openmoji) in which one element was shifted by 4 to 30 px. The amount
 * expected is measured outside the program: the largest value, along the shifted element, of OpenCV's exact
 * distance transform of the unshifted art. The art's geometry is the publisher's; its stroke is drawn 4 px
 * wide, since at its own twelfth of the width a shift of 4 px would lie inside the line.
 */
import sharp from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import { agreement } from '../../src/line/agreement.ts';
import { boxGap, boxOf } from '../../src/line/box.ts';
import { distanceField } from '../../src/line/distance.ts';
import { type Drift, measureDrift } from '../../src/line/drift.ts';
import { inkOf } from '../../src/line/ink.ts';
import { lineSamples } from '../../src/line/line-samples.ts';
import { isRefused } from '../../src/line/refused.ts';
import { lineRuns } from '../../src/line/runs.ts';
import { skeletonOf } from '../../src/line/skeleton.ts';
import { Workspace } from '../../src/line/workspace.ts';
import { type LineArt, lucideArt, openmojiArt, sampled } from '../support/line-art.ts';
import { loadOpenCv } from '../support/opencv.ts';

/** Distances of the ink px of one mask to another, exact. */
function distances(from: Uint8Array, to: Uint8Array, width: number, height: number): number[] {
  const { distSq } = distanceField(to, width, height, { lineFrom: 1 });
  return Array.from(from.keys())
    .filter((i) => from[i]! > 0)
    .map((i) => Math.sqrt(distSq[i]!));
}

describe('published values', () => {
  // Yan et al. 2020: ink of A at (0,0) and (0,1), of B at (1,1), on 2 rows of 4 px; rows first.
  const a = Uint8Array.of(255, 255, 0, 0, 0, 0, 0, 0);
  const b = Uint8Array.of(0, 0, 0, 0, 0, 255, 0, 0);
  const [width, height] = [4, 2];

  it("agrees with the benchmark's 2 × 4 example", () => {
    // Its tolerance is 250 ‰ of the long edge, and its distances are shares of that edge.
    const found = agreement(distances(a, b, width, height), distances(b, a, width, height), 0.25 * width);
    expect(found.precision).toBe(0.5);
    expect(found.recall).toBe(1);
    expect(found.fScore).toBeCloseTo(0.6667, 4);
    expect((found.meanToSecondPx + found.meanToFirstPx) / 2 / width).toBeCloseTo(0.275888, 6);
    expect(found.hausdorffPx / width).toBeCloseTo(0.353553, 6);
  });

  /** Siyao et al. 2023: chamfer distance averaged over all px and divided by the diagonal. */
  function chamfer(p: Uint8Array, q: Uint8Array, w: number, h: number): number {
    const { meanToSecondPx, meanToFirstPx } = agreement(distances(p, q, w, h), distances(q, p, w, h), 1);
    const count = (mask: Uint8Array) => mask.filter((v) => v > 0).length;
    return (meanToSecondPx * count(p) + meanToFirstPx * count(q)) / (2 * w * h * Math.hypot(w, h));
  }

  it('agrees with the in-betweening benchmark on the same pair, and on a line shifted by its width', () => {
    expect(chamfer(a, b, width, height)).toBeCloseTo(0.0477151, 7);
    const line = (x: number) =>
      Uint8Array.from({ length: 720 * 720 }, (_, i) => (i % 720 >= x && i % 720 < x + 3 ? 255 : 0));
    expect(chamfer(line(200), line(203), 720, 720) * 1e5).toBeCloseTo(0.81841, 4);
  });
});

const SIDE = 480;
/** The reference is drawn twice as fine, or its own pixels would blur the mid-line by up to one px. */
const FINE = 2 * SIDE;
const STROKE_PX = 4;
const SHIFTS_PX = [4, 6, 9, 14, 20, 30];
/** Nearer to the art than this, a shifted element is not displaced to any eye. */
const ON_ART_PX = 3.2;
/** Less displaced line than this, in px of the fine reference, is no plant. */
const LEAST_AWAY = (40 * FINE) / SIDE;
const ART_EACH = 60;

interface Shifted {
  readonly name: string;
  readonly gridUnits: number;
  readonly whole: string;
  /** The art with one element shifted, and that element alone. */
  readonly shifted: string;
  readonly alone: string;
  readonly shiftPx: number;
}

/** One element of each shifted, by amounts and directions that go round. */
function shiftedArt(): Shifted[] {
  const art: LineArt[] = [...sampled(lucideArt(), ART_EACH, 61), ...sampled(openmojiArt(), ART_EACH, 62)];
  return art.flatMap(({ name, svg, gridUnits }, k) => {
    const elements = (svg.match(/<(path|line|circle|rect|ellipse|polyline|polygon)\b[^>]*\/>/g) ?? []).map(
      (element) => element.replaceAll(/ (stroke|fill)[a-z-]*="[^"]*"/g, ''),
    );
    if (elements.length < 2 || elements.length > 8) return [];
    const shiftPx = SHIFTS_PX[k % SHIFTS_PX.length]!;
    const angle = (k * 2 * Math.PI) / 7;
    const units = (shiftPx * spanUnits(gridUnits)) / SIDE;
    const chosen = k % elements.length;
    const alone = `<g transform="translate(${units * Math.cos(angle)} ${units * Math.sin(angle)})">${elements[chosen]}</g>`;
    const shifted = elements.map((element, e) => (e === chosen ? alone : element)).join('');
    return { name: `${name} by ${shiftPx} px`, gridUnits, whole: elements.join(''), shifted, alone, shiftPx };
  });
}

/** The grid with a twelfth of margin all round. */
const spanUnits = (gridUnits: number) => (gridUnits * 14) / 12;

async function render(body: string, gridUnits: number, strokePx: number, side = SIDE) {
  const margin = gridUnits / 12;
  const span = spanUnits(gridUnits);
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${side}" height="${side}" viewBox="${-margin} ${-margin} ${span} ${span}">
    <rect x="${-margin}" y="${-margin}" width="${span}" height="${span}" fill="white"/>
    <g fill="none" stroke="black" stroke-linecap="round" stroke-linejoin="round" stroke-width="${(strokePx * span) / side}">${body}</g></svg>`;
  const data = await sharp(Buffer.from(svg)).greyscale().raw().toBuffer();
  return { width: side, height: side, channels: 1, data: new Uint8Array(data) } as const;
}

async function driftOf(clean: string, rough: string, gridUnits: number): Promise<Drift> {
  const workspace = new Workspace();
  const ink = inkOf(await render(clean, gridUnits, STROKE_PX), workspace);
  const samples = lineSamples(ink, skeletonOf(lineRuns(ink.coverage, SIDE, SIDE), workspace));
  const roughInk = inkOf(await render(rough, gridUnits, STROKE_PX));
  const found = measureDrift({ clean: samples, cleanSize: ink, roughInk });
  if (isRefused(found)) throw new Error(found.refused);
  return found;
}

describe('displacements in published line art', () => {
  let cv: Awaited<ReturnType<typeof loadOpenCv>>;
  beforeAll(async () => {
    cv = await loadOpenCv();
  });

  /** Exact distance of every px to the art's mid-line, by OpenCV. */
  function distanceTo(thin: Uint8Array): Float32Array {
    const binary = cv.matFromArray(
      FINE,
      FINE,
      cv.CV_8UC1,
      thin.map((v) => (v < 160 ? 0 : 255)),
    );
    const out = new cv.Mat();
    cv.distanceTransform(binary, out, cv.DIST_L2, cv.DIST_MASK_PRECISE);
    const field = Float32Array.from(out.data32F, (d) => (d * SIDE) / FINE);
    binary.delete();
    out.delete();
    return field;
  }

  /** Where the shifted element went, and how far from the art; nothing when too little of it is displaced. */
  async function planted({ whole, alone, gridUnits, shiftPx }: Shifted) {
    const field = distanceTo((await render(whole, gridUnits, 1, FINE)).data);
    const { data } = await render(alone, gridUnits, 1, FINE);
    const [x, y]: number[][] = [[], []];
    let [away, mostPx] = [0, 0];
    for (let i = 0; i < field.length; i++) {
      if (data[i]! >= 160) continue;
      x!.push(((i % FINE) * SIDE) / FINE);
      y!.push((Math.floor(i / FINE) * SIDE) / FINE);
      if (field[i]! > ON_ART_PX) away++;
      mostPx = Math.max(mostPx, field[i]!);
    }
    const within = boxOf(x!, y!, { width: SIDE, height: SIDE }, shiftPx + 8);
    return away < LEAST_AWAY ? undefined : { within, mostPx };
  }

  it('finds 95 % of them, calls out 5 % of anything else, and tells the amount within 1 px', async () => {
    const all = { planted: 0, found: 0, called: 0, right: 0, told: 0 };
    const wrong: string[] = [];
    for (const art of shiftedArt()) {
      const faults = async (clean: string) =>
        (await driftOf(clean, art.whole, art.gridUnits)).runs.filter((run) => !run.construction);
      const unshifted = await faults(art.whole);
      expect(unshifted, `${art.name}, unshifted`).toEqual([]);
      const plant = await planted(art);
      if (!plant) continue;
      const runs = await faults(art.shifted);
      const there = runs.filter((run) => boxGap(run.bbox, plant.within) === 0);
      const mostPx = Math.max(...there.map((run) => (run.kind === 'displaced' ? run.maxPx : -1)));
      all.planted++;
      all.called += runs.length;
      all.right += there.length;
      if (mostPx > 0) all.found++;
      if (Math.abs(mostPx - plant.mostPx) <= 1) all.told++;
      else wrong.push(`${art.name}: ${mostPx.toFixed(1)} for ${plant.mostPx.toFixed(1)}`);
    }
    const told = `${JSON.stringify(all)} ${wrong.join('; ')}`;
    expect(all.planted, told).toBeGreaterThan(60);
    expect(all.found / all.planted, told).toBeGreaterThanOrEqual(0.95);
    expect(all.right / all.called, told).toBeGreaterThanOrEqual(0.95);
    expect(all.told / all.found, told).toBeGreaterThanOrEqual(0.95);
  });
});
