/**
 * Points in square cells, for nearest-neighbour questions within a radius. Built in one pass, read-only.
 */
export class PointIndex {
  private readonly cellPx: number;
  private readonly columns: number;
  private readonly rows: number;
  private readonly left: number;
  private readonly top: number;
  private readonly start: Uint32Array;
  private readonly order: Uint32Array;
  private readonly x: ArrayLike<number>;
  private readonly y: ArrayLike<number>;

  constructor(x: ArrayLike<number>, y: ArrayLike<number>, cellPx: number) {
    this.x = x;
    this.y = y;
    this.cellPx = cellPx;
    let left = Infinity;
    let top = Infinity;
    let right = -Infinity;
    let low = -Infinity;
    for (let i = 0; i < x.length; i++) {
      left = Math.min(left, x[i]!);
      right = Math.max(right, x[i]!);
      top = Math.min(top, y[i]!);
      low = Math.max(low, y[i]!);
    }
    this.left = x.length > 0 ? left : 0;
    this.top = x.length > 0 ? top : 0;
    this.columns = x.length > 0 ? Math.floor((right - left) / cellPx) + 1 : 1;
    this.rows = x.length > 0 ? Math.floor((low - top) / cellPx) + 1 : 1;
    this.start = new Uint32Array(this.columns * this.rows + 1);
    this.order = new Uint32Array(x.length);
    for (let i = 0; i < x.length; i++) this.start[this.cell(x[i]!, y[i]!) + 1]!++;
    for (let c = 0; c + 1 < this.start.length; c++) this.start[c + 1]! += this.start[c]!;
    const next = this.start.slice();
    for (let i = 0; i < x.length; i++) this.order[next[this.cell(x[i]!, y[i]!)]!++] = i;
  }

  /** Index of the nearest point within `radiusPx` that `allow` lets through, or −1. */
  nearest(x: number, y: number, radiusPx: number, allow?: (index: number) => boolean): number {
    let best = -1;
    let bestSq = radiusPx * radiusPx;
    const c0 = Math.max(0, this.column(x - radiusPx));
    const c1 = Math.min(this.columns - 1, this.column(x + radiusPx));
    const r1 = Math.min(this.rows - 1, this.row(y + radiusPx));
    for (let r = Math.max(0, this.row(y - radiusPx)); r <= r1; r++) {
      for (let c = c0; c <= c1; c++) {
        const cell = r * this.columns + c;
        for (let k = this.start[cell]!; k < this.start[cell + 1]!; k++) {
          const i = this.order[k]!;
          const distSqPx = (this.x[i]! - x) ** 2 + (this.y[i]! - y) ** 2;
          if (distSqPx > bestSq || (allow && !allow(i))) continue;
          best = i;
          bestSq = distSqPx;
        }
      }
    }
    return best;
  }

  /** Visits every point within `radiusPx`. */
  around(x: number, y: number, radiusPx: number, visit: (index: number, distSqPx: number) => void): void {
    const c0 = Math.max(0, this.column(x - radiusPx));
    const c1 = Math.min(this.columns - 1, this.column(x + radiusPx));
    const r1 = Math.min(this.rows - 1, this.row(y + radiusPx));
    for (let r = Math.max(0, this.row(y - radiusPx)); r <= r1; r++) {
      for (let c = c0; c <= c1; c++) {
        const cell = r * this.columns + c;
        for (let k = this.start[cell]!; k < this.start[cell + 1]!; k++) {
          const i = this.order[k]!;
          const dx = this.x[i]! - x;
          const dy = this.y[i]! - y;
          const distSqPx = dx * dx + dy * dy;
          if (distSqPx <= radiusPx * radiusPx) visit(i, distSqPx);
        }
      }
    }
  }

  private column(x: number): number {
    return Math.floor((x - this.left) / this.cellPx);
  }

  private row(y: number): number {
    return Math.floor((y - this.top) / this.cellPx);
  }

  private cell(x: number, y: number): number {
    return this.row(y) * this.columns + this.column(x);
  }
}
