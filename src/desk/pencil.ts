/** Marks as a pencil makes them: nearly, not quite. The same seed draws the same mark. Pure. */

/** −1 … 1, always the same for the same `seed` and `n`. */
function unsteady(seed: number, n: number): number {
  const value = Math.sin(seed * 12.9898 + n * 78.233) * 43758.5453;
  return 2 * (value - Math.floor(value)) - 1;
}

export function seedOf(text: string): number {
  let seed = 7;
  for (const letter of text) seed = (seed * 31 + (letter.codePointAt(0) ?? 0)) % 9973;
  return seed;
}

const f = (value: number): string => value.toFixed(1);

/** A circle drawn round a number in one go: the end passes the beginning. */
export function pencilCircle(cx: number, cy: number, rx: number, ry: number, seed: number): string {
  const from = -2.2 + unsteady(seed, 0) * 0.3;
  const turns = 2 * Math.PI + 0.5 + unsteady(seed, 1) * 0.2;
  const steps = 14;
  const points: string[] = [];
  for (let n = 0; n <= steps; n++) {
    const angle = from + (turns * n) / steps;
    const swell = 1 + 0.05 * unsteady(seed, n + 2) + 0.07 * (n / steps - 0.5);
    points.push(`${f(cx + Math.cos(angle) * rx * swell)} ${f(cy + Math.sin(angle) * ry * swell)}`);
  }
  return smooth(points);
}

/** A stroke from one point to another, bowed by about `bowPx`. */
export function pencilLine(x1: number, y1: number, x2: number, y2: number, seed: number, bowPx = 1): string {
  const bow = bowPx * unsteady(seed, 3);
  const along = Math.hypot(x2 - x1, y2 - y1) || 1;
  const nx = (-(y2 - y1) / along) * bow;
  const ny = ((x2 - x1) / along) * bow;
  return `M${f(x1)} ${f(y1)}Q${f((x1 + x2) / 2 + nx)} ${f((y1 + y2) / 2 + ny)} ${f(x2)} ${f(y2)}`;
}

/** A triangle round a number, corners slightly crossed. */
export function pencilTriangle(cx: number, cy: number, rx: number, ry: number, seed: number): string {
  const corner = (x: number, y: number, n: number): [number, number] => [
    cx + x * rx + unsteady(seed, n) * 0.8,
    cy + y * ry + unsteady(seed, n + 5) * 0.8,
  ];
  const [ax, ay] = corner(0, -1.35, 1);
  const [bx, by] = corner(1.25, 0.85, 2);
  const [dx, dy] = corner(-1.25, 0.85, 3);
  return `M${f(ax - 1)} ${f(ay - 1)}L${f(bx)} ${f(by)}L${f(dx - 1)} ${f(dy)}L${f(ax + 1)} ${f(ay - 1)}`;
}

/** An arc that swings from beneath a number out past it, from `x1` to `x2`; `y` is the number's middle. */
export function pencilSwing(x1: number, x2: number, y: number, size: number, seed: number): string {
  const deep = y + size * (1.22 + 0.06 * unsteady(seed, 4));
  const [start, end] = [y + size * 0.66, y + size * (0.26 + 0.05 * unsteady(seed, 6))];
  return `M${f(x1)} ${f(start)}Q${f(x1 + (x2 - x1) * 0.55)} ${f(deep)} ${f(x2)} ${f(end)}`;
}

/** A smooth stroke through the points (quadratic, through the middles). */
function smooth(points: readonly string[]): string {
  const numbers = points.map((point) => point.split(' ').map(Number) as [number, number]);
  let path = `M${points[0]}`;
  for (let n = 1; n < numbers.length - 1; n++) {
    const [x, y] = numbers[n] as [number, number];
    const [nextX, nextY] = numbers[n + 1] as [number, number];
    path += `Q${f(x)} ${f(y)} ${f((x + nextX) / 2)} ${f((y + nextY) / 2)}`;
  }
  return `${path}L${points.at(-1)}`;
}
