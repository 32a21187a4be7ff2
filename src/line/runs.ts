import { LINE_FROM } from './ink.ts';

/** A mask as horizontal runs: a drawing is a few per cent line, so runs are far fewer than pixels. */
export interface Runs {
  readonly width: number;
  readonly height: number;
  /** `height + 1` values: row y holds the runs `rowStart[y]` up to, not including, `rowStart[y + 1]`. */
  readonly rowStart: Int32Array;
  /** First column of each run, ascending within a row. */
  readonly start: Int32Array;
  /** Column after the last of each run. */
  readonly end: Int32Array;
}

/** Runs of line: coverage ≥ `lineFrom` (1–255). */
export function lineRuns(coverage: Uint8Array, width: number, height: number, lineFrom = LINE_FROM): Runs {
  const rowStart = new Int32Array(height + 1);
  let start = new Int32Array(1 << 14);
  let end = new Int32Array(1 << 14);
  let count = 0;
  const words = bareWords(coverage, width * height);
  for (let y = 0; y < height; y++) {
    rowStart[y] = count;
    const row = y * width;
    const rowEnd = row + width;
    let i = row;
    while (i < rowEnd) {
      if (coverage[i]! < lineFrom) {
        i++;
        if ((i & 3) === 0) i = afterBare(words, i, rowEnd);
        continue;
      }
      const from = i;
      while (i < rowEnd && coverage[i]! >= lineFrom) i++;
      if (count === start.length) {
        start = doubled(start);
        end = doubled(end);
      }
      start[count] = from - row;
      end[count++] = i - row;
    }
  }
  rowStart[height] = count;
  return { width, height, rowStart, start: start.subarray(0, count), end: end.subarray(0, count) };
}

/** The runs between the given ones: paper for line, line for paper. */
export function otherRuns({ width, height, rowStart, start, end }: Runs): Runs {
  const otherRowStart = new Int32Array(height + 1);
  const otherStart = new Int32Array(start.length + height);
  const otherEnd = new Int32Array(start.length + height);
  let count = 0;
  for (let y = 0; y < height; y++) {
    otherRowStart[y] = count;
    let x = 0;
    for (let k = rowStart[y]!; k <= rowStart[y + 1]!; k++) {
      const stop = k < rowStart[y + 1]! ? start[k]! : width;
      if (stop > x) {
        otherStart[count] = x;
        otherEnd[count++] = stop;
      }
      if (k < rowStart[y + 1]!) x = end[k]!;
    }
  }
  otherRowStart[height] = count;
  return {
    width,
    height,
    rowStart: otherRowStart,
    start: otherStart.subarray(0, count),
    end: otherEnd.subarray(0, count),
  };
}

/** The index of the run that holds pixel (x, y), or −1. */
export function runAt({ rowStart, start, end }: Runs, x: number, y: number): number {
  let low = rowStart[y] ?? 0;
  let high = (rowStart[y + 1] ?? 0) - 1;
  while (low <= high) {
    const middle = (low + high) >> 1;
    if (x < start[middle]!) high = middle - 1;
    else if (x >= end[middle]!) low = middle + 1;
    else return middle;
  }
  return -1;
}

/** The first pixel from `i`, a multiple of four, that may not be bare; bare ones are passed four at a time. */
export function afterBare(words: Int32Array, i: number, end: number): number {
  let k = i >> 2;
  const stop = Math.min(end >> 2, words.length);
  while (k + 4 <= stop && (words[k]! | words[k + 1]! | words[k + 2]! | words[k + 3]!) === 0) k += 4;
  while (k < stop && words[k] === 0) k++;
  return 4 * k;
}

/** The bytes four at a time; when they do not start on a word, no word is claimed bare. */
export function bareWords(bytes: Uint8Array, length: number): Int32Array {
  return bytes.byteOffset % 4 === 0
    ? new Int32Array(bytes.buffer, bytes.byteOffset, length >> 2)
    : new Int32Array(0);
}

/** A copy twice as long. */
export function doubled(array: Int32Array): Int32Array<ArrayBuffer> {
  const larger = new Int32Array(2 * array.length);
  larger.set(array);
  return larger;
}
