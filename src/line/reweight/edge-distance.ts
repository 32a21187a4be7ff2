/**
 * Distance from a pixel's middle to the line's edge inside it, by how much of the pixel the line covers: exact for
 * a straight edge whose normal is (nx, ny) (Gustavson & Strand 2011, "Anti-aliased Euclidean distance transform",
 * section 3). Positive where the middle lies outside the line.
 *
 * @param nx,ny unit normal; its sign does not matter.
 * @param coverage 0 (bare) … 1 (covered). 0 and 1 give the pixel's farthest reach along the normal.
 */
export function edgeDistance(nx: number, ny: number, coverage: number): number {
  const long = Math.max(Math.abs(nx), Math.abs(ny));
  const short = Math.min(Math.abs(nx), Math.abs(ny));
  // Along an axis the edge crosses the pixel square on.
  if (short < 1e-6) return 0.5 - coverage;
  // Area of the corner triangle that the edge cuts off before it reaches the second corner.
  const corner = short / (2 * long);
  if (coverage < corner) return (long + short) / 2 - Math.sqrt(2 * long * short * coverage);
  if (coverage < 1 - corner) return (0.5 - coverage) * long;
  return Math.sqrt(2 * long * short * (1 - coverage)) - (long + short) / 2;
}
