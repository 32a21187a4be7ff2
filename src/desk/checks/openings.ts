/** Gaps, ends and specks of a drawing as shapes on the paper. */
import type { Measured } from '../../check/measured.ts';
import { meantOpen } from '../../line/in-rough.ts';
import { isRefused } from '../../line/refused.ts';

type Point = readonly [number, number];

/** In px of the drawing. */
export interface Openings {
  readonly gaps: readonly {
    readonly between: readonly [Point, Point];
    readonly widthPx: number;
    readonly meant: boolean;
  }[];
  readonly ends: readonly { readonly at: Point; readonly directionRad: number }[];
  readonly specks: readonly { readonly at: Point; readonly hole: boolean }[];
}

/** An end this near to a gap's edge is that gap's own, px. */
const ownPx = 6;

export function openingsOf({ measures }: Measured): Openings {
  if (!measures) return { gaps: [], ends: [], specks: [] };
  const leaks = isRefused(measures.leaks) ? [] : measures.leaks;
  const specks = isRefused(measures.specks) ? [] : measures.specks;
  const edges = leaks.flatMap(({ between }) => between);
  return {
    gaps: leaks.map((leak) => ({ between: leak.between, widthPx: leak.widthPx, meant: meantOpen(leak) })),
    ends: measures.ends
      .filter(({ x, y, halfWidthPx }) =>
        edges.every(([ex, ey]) => Math.hypot(ex - x, ey - y) > ownPx + 2 * halfWidthPx),
      )
      .map(({ x, y, directionRad }) => ({ at: [x, y] as const, directionRad })),
    specks: specks.map(({ xPx, yPx, kind }) => ({ at: [xPx, yPx] as const, hole: kind === 'pinhole' })),
  };
}

const ink = 'rgb(36 22 96)';

/** A bridge for a gap, a wedge for an end, a diamond for a speck, a dotted one for a pinhole. `paperScale` as for the heat. */
export function paintOpenings(
  context: CanvasRenderingContext2D,
  { gaps, ends, specks }: Openings,
  zoom: number,
  paperScale: number,
): void {
  // From afar the shapes shrink with the drawing, or they would cover it.
  const css = (px: number): number => Math.min(px / zoom, 2 * px * paperScale);
  context.lineCap = 'butt';
  context.setLineDash([]);
  for (const end of ends) {
    const tip = wedge(end, css(9));
    outlined(context, css, () => {
      context.beginPath();
      for (const corner of tip) context.lineTo(...corner);
      context.closePath();
    });
  }
  for (const {
    at: [x, y],
    hole,
  } of specks) {
    const reach = css(hole ? 5 : 9);
    context.setLineDash(hole ? [css(2.5), css(2.5)] : []);
    outlined(context, css, () => {
      context.beginPath();
      context.moveTo(x, y - reach);
      context.lineTo(x + reach, y);
      context.lineTo(x, y + reach);
      context.lineTo(x - reach, y);
      context.closePath();
    });
  }
  context.setLineDash([]);
  for (const gap of gaps) bridge(context, gap, css);
}

function outlined(context: CanvasRenderingContext2D, css: (px: number) => number, shape: () => void): void {
  shape();
  context.strokeStyle = 'white';
  context.lineWidth = css(4.5);
  context.stroke();
  context.strokeStyle = ink;
  context.lineWidth = css(2);
  context.stroke();
}

/** Points away from the line, its tip a little beyond the end. */
function wedge({ at: [x, y], directionRad }: Openings['ends'][number], size: number): Point[] {
  const go = (along: number, across: number): Point => [
    x + along * Math.cos(directionRad) - across * Math.sin(directionRad),
    y + along * Math.sin(directionRad) + across * Math.cos(directionRad),
  ];
  return [go(0.4 * size, 0), go(1.6 * size, 0.6 * size), go(1.6 * size, -0.6 * size)];
}

/** Two posts and a bar across; meant to be open: the posts alone. */
export function bridge(
  context: CanvasRenderingContext2D,
  { between: [[ax, ay], [bx, by]], meant }: Pick<Openings['gaps'][number], 'between' | 'meant'>,
  css: (px: number) => number,
): void {
  const length = Math.hypot(bx - ax, by - ay) || 1;
  const [ux, uy] = [(bx - ax) / length, (by - ay) / length];
  const post = css(13);
  const [fromX, fromY] = [ax - ux * css(3), ay - uy * css(3)];
  const [toX, toY] = [bx + ux * css(3), by + uy * css(3)];
  outlined(context, css, () => {
    context.beginPath();
    for (const [x, y] of [
      [fromX, fromY],
      [toX, toY],
    ] as const) {
      context.moveTo(x - uy * post, y + ux * post);
      context.lineTo(x + uy * post, y - ux * post);
    }
    if (!meant) {
      context.moveTo(fromX, fromY);
      context.lineTo(toX, toY);
    }
  });
}
