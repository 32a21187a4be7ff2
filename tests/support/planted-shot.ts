/**
 * A shot of plain shapes with one fault in nearly every drawing, rendered by sharp's SVG renderer: nothing of
 * it comes from the program that draws the sample shots. Geometry is in units of a 1000 × 700 grid; gaps,
 * specks and slips are in px.
 */
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { seeded } from './line-masks.ts';

type Point = readonly [x: number, y: number];

interface Shape {
  readonly id: 'head' | 'eye' | 'mouth' | 'body' | 'arm' | 'leg' | 'belt' | 'stray';
  readonly points: readonly Point[];
  readonly closed?: boolean;
}

export interface PlantedStyle {
  readonly name: string;
  readonly width: number;
  readonly height: number;
  readonly strokePx: number;
  readonly paper: 'white' | 'transparent' | 'grey';
  /** Every pixel either line or paper. */
  readonly aliased?: boolean;
  /** `line`: as the clean. `pencil`: strokes over each other on construction in another pencil. */
  readonly rough: 'none' | 'line' | 'pencil';
  readonly pencil?: string;
  /** Uniform noise of a scan, levels. */
  readonly noise?: number;
  readonly format?: 'png' | 'jpg';
}

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
/** How far the pencil strays from the shape, grid units. */
const STRAY = 0.9;

function ellipse(cx: number, cy: number, rx: number, ry: number): Point[] {
  return Array.from({ length: 72 }, (_, k) => [
    cx + rx * Math.cos((k * Math.PI) / 36),
    cy + ry * Math.sin((k * Math.PI) / 36),
  ]);
}

function figure(t: number, { head = 1 } = {}): Shape[] {
  const at = (points: readonly Point[]): Point[] =>
    points.map(([x, y]) => [x + 220 + 110 * t, y + 60 - 18 * t]);
  const [sx, sy, swing] = [190, 250, -0.1 * t];
  const swung = ([x, y]: Point): Point => [
    sx + (x - sx) * Math.cos(swing) - (y - sy) * Math.sin(swing),
    sy + (x - sx) * Math.sin(swing) + (y - sy) * Math.cos(swing),
  ];
  const arm: Point[] = [
    [190, 236],
    [300, 262],
    [318, 290],
    [300, 306],
    [188, 272],
  ];
  const quad = (...points: Point[]) => ({ points: at(points), closed: true });
  return [
    { id: 'head', points: at(ellipse(120, 110, 80 * head, 88 * head)), closed: true },
    { id: 'eye', points: at(ellipse(95, 100, 7, 7)), closed: true },
    { id: 'eye', points: at(ellipse(146, 100, 7, 7)), closed: true },
    {
      id: 'mouth',
      points: at(
        Array.from({ length: 20 }, (_, k): Point => [90 + 3 * k, 145 + 10 * Math.sin((Math.PI * k) / 19)]),
      ),
    },
    { id: 'body', ...quad([70, 215], [175, 215], [205, 420], [45, 425]) },
    { id: 'arm', points: at(arm.map(swung)), closed: true },
    { id: 'leg', ...quad([70, 445], [110, 445], [112, 560], [60, 566]) },
    { id: 'leg', ...quad([140, 445], [185, 445], [196, 560], [142, 566]) },
    {
      id: 'belt',
      points: at([
        [57, 330],
        [191, 326],
      ]),
    },
  ];
}

const lengthOf = (points: readonly Point[]) =>
  points.slice(1).reduce((sum, [x, y], k) => sum + Math.hypot(x - points[k]![0], y - points[k]![1]), 0);

/** Shoelace formula; nothing for what lies inside another shape or does not close. */
function areaOf({ id, points, closed }: Shape): number {
  if (!closed || id === 'eye') return 0;
  const twice = points.reduce((sum, [x, y], k) => {
    const [nextX, nextY] = points[(k + 1) % points.length]!;
    return sum + x * nextY - nextX * y;
  }, 0);
  return Math.abs(twice) / 2;
}

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

/** Gap ends are cut square, all others round. */
function lines(
  shapes: readonly Shape[],
  scale: number,
  strokePx: number,
  colour: string,
  opacity = 1,
): string {
  const paths = shapes.map(({ id, points, closed }) => {
    const d = points.map(([x, y]) => `${(x * scale).toFixed(2)} ${(y * scale).toFixed(2)}`).join('L');
    const cap = id === 'head' && !closed ? 'butt' : 'round';
    return `<path d="M${d}${closed ? 'Z' : ''}" stroke-linecap="${cap}"/>`;
  });
  return `<g fill="none" stroke="${colour}" stroke-opacity="${opacity}" stroke-width="${strokePx}" stroke-linejoin="round">${paths.join('')}</g>`;
}

function pencil(shapes: readonly Shape[], scale: number, style: PlantedStyle, seed: number): string {
  const random = seeded(seed);
  const strokes = [0, 1].map(() => {
    const [f, a, b] = [0.01 + 0.01 * random(), 6 * random(), 6 * random()];
    const strayed = shapes.map((one) => ({
      ...one,
      points: one.points.map(
        ([x, y]): Point => [x + STRAY * Math.sin(f * y + a), y + STRAY * Math.sin(f * x + b)],
      ),
    }));
    return lines(strayed, scale, 0.8 * style.strokePx, style.pencil ?? '#333', 0.75);
  });
  const { points } = shapes[0]!;
  const middle = (k: 0 | 1) => points.reduce((sum, p) => sum + p[k], 0) / points.length;
  const [x, y] = [middle(0), middle(1)];
  const construction: Shape[] = [
    { id: 'stray', points: ellipse(x, y, 84, 84), closed: true },
    {
      id: 'stray',
      points: [
        [x - 100, y],
        [x + 100, y],
      ],
    },
    {
      id: 'stray',
      points: [
        [x, y - 100],
        [x, y + 480],
      ],
    },
  ];
  return lines(construction, scale, 0.7 * style.strokePx, '#6a9be8', 0.7) + strokes.join('');
}

async function save(file: string, marks: string, style: PlantedStyle, seed: number): Promise<void> {
  const { width, height, paper, aliased, noise } = style;
  const sheet =
    paper === 'transparent'
      ? ''
      : `<rect width="100%" height="100%" fill="${paper === 'grey' ? '#e4e1da' : 'white'}"/>`;
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}">${sheet}${marks}</svg>`;
  const data = await sharp(Buffer.from(svg)).ensureAlpha().raw().toBuffer();
  const random = seeded(seed);
  for (let i = 0; i < data.length; i++) {
    const isAlpha = i % 4 === 3;
    // On transparent paper black line is told by alpha alone.
    if (aliased && (isAlpha || paper !== 'transparent')) data[i] = data[i]! < 128 ? 0 : 255;
    if (noise && !isAlpha) data[i] = Math.max(0, Math.min(255, data[i]! + noise * (2 * random() - 1)));
  }
  const image = sharp(data, { raw: { width, height, channels: 4 } });
  if (paper !== 'transparent') image.removeAlpha();
  await (style.format === 'jpg' ? image.jpeg({ quality: 90 }) : image.png({ compressionLevel: 2 })).toFile(
    file,
  );
}
