/** How a planted shot is drawn: its paper, line and pencil, rendered by sharp's SVG renderer. */
import sharp from 'sharp';
import { seeded } from './line-masks.ts';
import { ellipse, type Point, type Shape } from './planted-figure.ts';

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

/** How far the pencil strays from the shape, grid units. */
export const STRAY = 0.9;

/** Gap ends are cut square, all others round. */
export function lines(
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

export function pencil(shapes: readonly Shape[], scale: number, style: PlantedStyle, seed: number): string {
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

export async function save(file: string, marks: string, style: PlantedStyle, seed: number): Promise<void> {
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
