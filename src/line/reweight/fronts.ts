import type { Components } from '../components.ts';
import type { Box } from '../picture.ts';
import type { Runs } from '../runs.ts';

/** How pieces grow back into pixels that were lost. */
export interface Fronts {
  /** The piece (from 1) that a lost pixel was reached from, or 0. */
  readonly labelAt: (i: number) => number;
  /** Lost pixels at which two different pieces meet. */
  readonly meetings: readonly number[];
  /** Lost pixels more than so many steps from the piece they belong to. */
  readonly farther: (steps: number) => number[];
}

/**
 * Grows all pieces at once, step by step, into the lost pixels.
 *
 * @param labels a label from 1 for every pixel of a piece, 0 elsewhere, all lost pixels included. Written over.
 * @param lost pixel indices, ascending.
 */
export function fronts(
  labels: Int32Array,
  lost: Int32Array,
  { width, height, reach }: { width: number; height: number; reach: 4 | 8 },
): Fronts {
  const isLost = new Uint8Array(width * height);
  for (const i of lost) isLost[i] = 1;
  const steps = new Map<number, number>();
  const meetings = new Set<number>();
  const neighbours: number[] = [];
  const around = (i: number): readonly number[] => {
    neighbours.length = 0;
    const x = i % width;
    const y = (i - x) / width;
    for (let dy = -1; dy <= 1; dy++) {
      for (let dx = -1; dx <= 1; dx++) {
        if ((dx === 0 && dy === 0) || (reach === 4 && dx !== 0 && dy !== 0)) continue;
        const [nx, ny] = [x + dx, y + dy];
        if (nx >= 0 && ny >= 0 && nx < width && ny < height) neighbours.push(ny * width + nx);
      }
    }
    return neighbours;
  };
  let front: number[] = [];
  for (const i of lost) {
    for (const n of around(i)) {
      if (isLost[n] === 1 || labels[n] === 0) continue;
      if (labels[i] !== 0 && labels[i] !== labels[n]) meetings.add(i);
      labels[i] = labels[n]!;
    }
    if (labels[i] !== 0) front.push(i);
  }
  for (let step = 1; front.length > 0; step++) {
    const next: number[] = [];
    for (const i of front) {
      steps.set(i, step);
      for (const n of around(i)) {
        if (isLost[n] === 0) continue;
        if (labels[n] === 0) {
          labels[n] = labels[i]!;
          next.push(n);
        } else if (labels[n] !== labels[i]) meetings.add(i);
      }
    }
    front = next;
  }
  return {
    labelAt: (i) => (isLost[i] === 1 ? labels[i]! : 0),
    meetings: [...meetings],
    farther: (most) => [...steps].filter(([, step]) => step > most).map(([i]) => i),
  };
}

/** Each piece's number and one, pixel by pixel. */
export function rasterOf(runs: Runs, { ofRun }: Components): Int32Array {
  const labels = new Int32Array(runs.width * runs.height);
  for (let y = 0; y < runs.height; y++) {
    const row = y * runs.width;
    for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++)
      labels.fill(ofRun[k]! + 1, row + runs.start[k]!, row + runs.end[k]!);
  }
  return labels;
}

/** Pixels of `before` that `after` lacks, ascending. */
export function lostPixels(before: Runs, after: Runs): Int32Array {
  const lost: number[] = [];
  for (let y = 0; y < before.height; y++) {
    let j = after.rowStart[y]!;
    const last = after.rowStart[y + 1]!;
    const row = y * before.width;
    for (let k = before.rowStart[y]!; k < before.rowStart[y + 1]!; k++) {
      let x = before.start[k]!;
      for (; j < last && after.start[j]! < before.end[k]!; j++) {
        for (; x < after.start[j]!; x++) lost.push(row + x);
        x = after.end[j]!;
      }
      for (; x < before.end[k]!; x++) lost.push(row + x);
    }
  }
  return Int32Array.from(lost);
}

/** Pixels up to this far apart belong to one place, px. */
const ONE_PLACE_PX = 6;

/** One box round all pixels that lie near one another. */
export function places(pixels: readonly number[], width: number): Box[] {
  const boxes: [left: number, top: number, right: number, bottom: number][] = [];
  for (const i of [...pixels].sort((a, b) => a - b)) {
    const x = i % width;
    const y = (i - x) / width;
    let own: (typeof boxes)[number] = [x, y, x + 1, y + 1];
    // A pixel may join boxes that were apart until now.
    for (let k = boxes.length - 1; k >= 0; k--) {
      const box = boxes[k]!;
      const apart =
        own[0] > box[2] + ONE_PLACE_PX ||
        box[0] > own[2] + ONE_PLACE_PX ||
        own[1] > box[3] + ONE_PLACE_PX ||
        box[1] > own[3] + ONE_PLACE_PX;
      if (apart) continue;
      boxes.splice(k, 1);
      own = [
        Math.min(own[0], box[0]),
        Math.min(own[1], box[1]),
        Math.max(own[2], box[2]),
        Math.max(own[3], box[3]),
      ];
    }
    boxes.push(own);
  }
  return boxes.map(([left, top, right, bottom]) => [left, top, right - left, bottom - top]);
}

export function overlaps(a: Box, b: Box): boolean {
  return a[0] < b[0] + b[2] && b[0] < a[0] + a[2] && a[1] < b[1] + b[3] && b[1] < a[1] + a[3];
}
