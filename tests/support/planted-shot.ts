/**
 * A shot of plain shapes with one fault in nearly every drawing, rendered by sharp's SVG renderer: nothing of
 * it comes from the program that draws the sample shots. Geometry is in units of a 1000 × 700 grid; gaps,
 * specks and slips are in px.
 */
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { areaOf, figure, lengthOf, type Point, type Shape } from './planted-figure.ts';
import { lines, type PlantedStyle, pencil, STRAY, save } from './planted-marks.ts';

export interface PlantedHere {
  readonly drawing: string;
  readonly check: string;
  readonly amount: number;
  /** How near the amount must come. */
  readonly within: number;
  /** Where: the shape that has the fault, px. Absent for the whole drawing. */
  readonly box?: readonly [x: number, y: number, width: number, height: number];
}

const DRAWINGS = 13;
/** Of the way across, from one drawing to the next. */
const STEP = 0.35;

/** Writes rough/, clean/ and shot.json below `folder`, and says what was planted. */
export async function writePlantedShot(folder: string, style: PlantedStyle): Promise<PlantedHere[]> {
  const scale = Math.min(style.width / 1000, style.height / 700);
  const planted: PlantedHere[] = [];
  const layers = style.rough === 'none' ? ['clean'] : ['clean', 'rough'];
  for (const layer of layers) await mkdir(join(folder, layer), { recursive: true });
  for (let index = 0; index < DRAWINGS; index++) {
    const label = String(2 * index + 1);
    const seed = 31 * index + style.width;
    const { clean, rough, extra, strokePx } = drawing(index, label, scale, style, planted);
    const file = `${label.padStart(4, '0')}.${style.format ?? 'png'}`;
    await save(join(folder, 'clean', file), lines(clean, scale, strokePx, 'black') + extra, style, seed);
    if (style.rough !== 'none') {
      const marks =
        style.rough === 'line' ? lines(rough, scale, strokePx, 'black') : pencil(rough, scale, style, seed);
      const paper = style.paper === 'transparent' ? 'white' : style.paper;
      await save(join(folder, 'rough', file), marks, { ...style, paper, aliased: false }, seed + 7);
    }
  }
  const drawings = Array.from({ length: DRAWINGS }, (_, k) =>
    k % 2 === 0
      ? { label: String(2 * k + 1), role: 'key' }
      : {
          label: String(2 * k + 1),
          role: 'inbetween',
          chart: { from: String(2 * k - 1), to: String(2 * k + 3), fraction: 0.5 },
        },
  );
  const shot = { title: style.name, fps: 24, levels: [{ name: '', drawings }] };
  await writeFile(join(folder, 'shot.json'), JSON.stringify(shot));
  return planted;
}

/** The shapes of one drawing, with its fault. Even indices are keys. */
function drawing(
  index: number,
  label: string,
  scale: number,
  style: PlantedStyle,
  planted: PlantedHere[],
): { clean: Shape[]; rough: Shape[]; extra: string; strokePx: number } {
  const shapes = figure(STEP * index);
  let [clean, rough, extra, strokePx] = [shapes, shapes, '', style.strokePx];
  const shape = (id: Shape['id'], of: readonly Shape[] = shapes) => of.find((one) => one.id === id)!;
  const swap = (id: Shape['id'], change: (points: readonly Point[]) => readonly Point[]) =>
    shapes.map((one) => (one.id === id ? { ...one, points: change(one.points) } : one));
  const shifted = (dx: number, dy: number) => (points: readonly Point[]) =>
    points.map(([x, y]): Point => [x + dx / scale, y + dy / scale]);
  const plant = (check: string, amount: number, within: number, points?: readonly Point[]) =>
    planted.push({
      drawing: label,
      check,
      amount,
      within,
      ...(points ? { box: boxRound(points, scale) } : {}),
    });
  switch (index) {
    case 1:
      clean = rough = figure(STEP * 2 * 0.38);
      plant('spacing', 0.38, 0.02);
      break;
    case 2: {
      const { points } = shape('head');
      const [a, b] = [points[40]!, points[41]!];
      const [mx, my] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
      const half = 3.5 / scale / Math.hypot(b[0] - a[0], b[1] - a[1]);
      const end = (way: 1 | -1): Point => [mx + way * half * (b[0] - a[0]), my + way * half * (b[1] - a[1])];
      const open = {
        id: 'head' as const,
        points: [end(1), ...points.slice(41), ...points.slice(0, 41), end(-1)],
      };
      clean = shapes.map((one) => (one.id === 'head' ? open : one));
      plant('leaks', 7, 2, [a, b]);
      break;
    }
    case 3:
      strokePx *= 1.2;
      // A line of whole pixels cannot be a fifth thicker than 3 px.
      plant('weight', 0.2, style.aliased ? 0.08 : 0.02);
      break;
    case 4:
      if (style.rough === 'none') break;
      clean = figure(STEP * index, { head: Math.sqrt(1.08) });
      plant('volume', 0.08, 0.02, shape('head').points);
      break;
    case 5:
      if (style.rough === 'none') {
        // Against its extremes: the head a fifth smaller, of all that closes.
        clean = figure(STEP * index, { head: Math.sqrt(0.8) });
        plant(
          'volume',
          (-0.2 * areaOf(shape('head'))) / shapes.reduce((sum, one) => sum + areaOf(one), 0),
          0.01,
        );
        break;
      }
      clean = shapes.filter(({ id }) => id !== 'belt');
      // Its ends lie on the body's line, which is there.
      plant('drift', lengthOf(shape('belt').points) * scale, 16, shape('belt').points);
      break;
    case 6: {
      const [x, y] = shape('body').points[0]!;
      const points: Point[] = [
        [x + 25, y + 40],
        [x + 75, y + 60],
      ];
      clean = style.rough === 'none' ? shapes : [...shapes, { id: 'stray', points }];
      if (clean !== shapes) plant('drift', lengthOf(points) * scale, 10, points);
      break;
    }
    case 7:
      extra = [
        [100, 120, 2],
        [860, 90, 3],
        [880, 600, 5],
      ]
        .map(
          ([x, y, side]) =>
            `<rect x="${Math.round(x! * scale)}" y="${Math.round(y! * scale)}" width="${side}" height="${side}"/>`,
        )
        .join('');
      plant('specks', 3, 0);
      break;
    case 9: {
      const late = shape('arm', figure(STEP * (index - 1 + 2 / 3))).points;
      clean = rough = swap('arm', () => late);
      plant('spacing', 1 / 3, 0.02, late);
      break;
    }
    case 11:
      if (style.rough === 'none') break;
      clean = shapes.map((one) => ({ ...one, points: shifted(5, 3)(one.points) }));
      plant('registration', Math.hypot(5, 3), 1);
      break;
    case 12:
      if (style.rough === 'none') break;
      clean = swap('arm', shifted(0, 10));
      plant('drift', 10, 1 + (style.rough === 'pencil' ? 2 * STRAY * scale : 0), shape('arm', clean).points);
      break;
  }
  return { clean, rough, extra, strokePx };
}

function boxRound(points: readonly Point[], scale: number): NonNullable<PlantedHere['box']> {
  const [x, y] = [points.map((p) => p[0] * scale), points.map((p) => p[1] * scale)];
  const [left, top] = [Math.min(...x) - 6, Math.min(...y) - 6];
  return [left, top, Math.max(...x) + 6 - left, Math.max(...y) + 6 - top];
}
