/** Where a part of a chart lies on its drawing. Pure geometry. */
import type { ChartPlace } from './model.ts';

type Size = readonly [width: number, height: number];
type At = readonly [x: number, y: number];

/** The place's corners, closed by going back to the first, in px of a picture of `sizePx`. */
export function cornersOf({ box, outline, sizePx: own }: ChartPlace, sizePx: Size): At[] {
  const [kx, ky] = own ? [sizePx[0] / own[0], sizePx[1] / own[1]] : [1, 1];
  const corners = box ? cornersOfBox(box) : (outline ?? []);
  return corners.map(([x, y]) => [x * kx, y * ky]);
}

function cornersOfBox([x, y, width, height]: readonly [number, number, number, number]): At[] {
  return [
    [x, y],
    [x + width, y],
    [x + width, y + height],
    [x, y + height],
  ];
}

/** Even-odd rule: a line from the point to the right crosses the outline an odd number of times. */
export function liesWithin([x, y]: At, corners: readonly At[]): boolean {
  let inside = false;
  let [fromX, fromY] = corners.at(-1) ?? [0, 0];
  for (const [toX, toY] of corners) {
    if (fromY > y !== toY > y && x < fromX + ((y - fromY) / (toY - fromY)) * (toX - fromX)) inside = !inside;
    [fromX, fromY] = [toX, toY];
  }
  return inside;
}

/** Of the ground that the corners go round, px² (the shoelace rule). */
export function areaOf(corners: readonly At[]): number {
  let twice = 0;
  let [fromX, fromY] = corners.at(-1) ?? [0, 0];
  for (const [toX, toY] of corners) {
    twice += fromX * toY - toX * fromY;
    [fromX, fromY] = [toX, toY];
  }
  return Math.abs(twice) / 2;
}
