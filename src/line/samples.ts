/**
 * A drawing's mid-line in points, the form in which the line is measured, compared and kept. About one
 * point each `stepPx` along each chain; a chain runs between junctions or ends. Image px, where pixel
 * (i, j) has its centre at (i + ½, j + ½).
 */
export interface LineSamples {
  readonly stepPx: number;
  readonly x: Float32Array;
  readonly y: Float32Array;
  /** Direction of the line, in the order of the chain. */
  readonly tangentRad: Float32Array;
  /** ∫ coverage across the line, px; NaN where it cannot be measured (near ends, junctions, in solid black). */
  readonly widthPx: Float32Array;
  /** Chain c is points `chainStart[c]` up to `chainStart[c + 1]`; the last value is the number of points. */
  readonly chainStart: Uint32Array;
  /** 1 for a chain that returns to its first point. */
  readonly chainClosed: Uint8Array;
}
