/** The path of a place through a level: matched in workers, told on the paper, held against its arc. */
import { reasonOf } from '../../error/sentence.ts';
import type { DrawingMeasures } from '../../line/measure-drawing.ts';
import { type Arc, arcOf } from '../../line/path/arc.ts';
import type { PairMatch } from '../../line/path/match-pair.ts';
import type { Point, Step } from '../../line/path/step-place.ts';
import type { Refused } from '../../line/refused.ts';
import type { Drawing, ImageRef, Shot } from '../../shot/model.ts';
import { cleanOf } from '../../shot/takes.ts';
import { betweenKey } from '../jobs.ts';
import type { Pool } from '../pool.ts';
import { followPlace, type PathDot } from './follow.ts';

export interface PathSource<P> {
  readonly pool: Pool<P>;
  /** A drawing's line; rejects with a sentence. Asked once a drawing. */
  readonly lineOf: (drawing: Drawing) => Promise<Pick<DrawingMeasures, 'samples' | 'sizePx'>>;
  readonly signal: AbortSignal;
}

interface Following {
  /** Hears of each dot as it is found. */
  readonly told?: (drawing: number, dot: PathDot) => void;
  /** Ends this one; what was matched for it is kept. */
  readonly signal?: AbortSignal;
}

/** Matches are kept, so that a place put right, or another one, is followed at once. */
export class PathFinder<P> {
  private readonly source: PathSource<P>;
  private readonly lines = new Map<string, ReturnType<PathSource<P>['lineOf']>>();
  private readonly matches = new Map<string, Promise<PairMatch>>();

  constructor(source: PathSource<P>) {
    this.source = source;
  }

  /** `known`: where the place is said to lie, px of the image of each drawing, by its number in `drawings`. */
  async follow(
    drawings: readonly Drawing[],
    known: ReadonlyMap<number, Point>,
    { told, signal = this.source.signal }: Following = {},
  ): Promise<PathDot[]> {
    const { pool } = this.source;
    const step = async (place: Point, from: number, to: number): Promise<Step | Refused> => {
      signal.throwIfAborted();
      try {
        const [one, other] = [drawings[from]!, drawings[to]!];
        const [a, b] = await Promise.all([this.line(one), this.line(other)]);
        const match = await this.match(one, other, a, b);
        const { samples } = a;
        return (await pool.ask(
          { kind: 'step', key: '', place, a: samples, b: b.samples, match },
          { signal },
        )) as Step | Refused;
      } catch (error) {
        signal.throwIfAborted();
        return { refused: reasonOf(error) };
      }
    };
    const without = (k: number) => (cleanOf(drawings[k]!) ? undefined : 'it has no clean-up yet');
    return followPlace({ count: drawings.length, without, step }, known, told);
  }

  private line(drawing: Drawing): ReturnType<PathSource<P>['lineOf']> {
    return once(this.lines, cleanOf(drawing)?.sha256 ?? '', () => this.source.lineOf(drawing));
  }

  private async match(
    one: Drawing,
    other: Drawing,
    a: Pick<DrawingMeasures, 'samples' | 'sizePx'>,
    b: Pick<DrawingMeasures, 'samples' | 'sizePx'>,
  ): Promise<PairMatch> {
    const [key, turned] = [betweenKey('match', [one, other]), betweenKey('match', [other, one])];
    const known = this.matches.get(turned);
    if (known) {
      const { forth, back } = await known;
      return { forth: back, back: forth };
    }
    const { pool, signal } = this.source;
    return once(this.matches, key, async () => {
      const asked = { kind: 'match', key, a: a.samples, b: b.samples, sizePx: a.sizePx } as const;
      return (await pool.ask(asked, { signal })) as PairMatch;
    });
  }
}

/** What fails is asked again the next time. */
function once<T>(kept: Map<string, Promise<T>>, key: string, make: () => Promise<T>): Promise<T> {
  const known = kept.get(key);
  if (known) return known;
  const made = make();
  kept.set(key, made);
  made.catch(() => kept.delete(key));
  return made;
}

/** A dot farther off the arc than this, px of a drawing 2048 px wide, is called out. */
const TOLERANCE_PX = 4;

/** The arc through dots in px of the paper; those that were not found are left out. */
export function arcOnPaper(dots: readonly (PathDot | undefined)[], { sizePx }: Pick<Shot, 'sizePx'>): Arc {
  // Matching is off by the same px on small paper.
  const tolerancePx = TOLERANCE_PX * Math.max(1, sizePx[0] / 2048);
  return arcOf(
    dots.map((dot) => dot?.at),
    tolerancePx,
  );
}

/** Pictures lie centred on the paper, px for px. */
export function pathOnPaper<D extends PathDot | undefined>(
  dots: readonly D[],
  drawings: readonly Drawing[],
  shot: Pick<Shot, 'sizePx'>,
): D[] {
  return dots.map((dot, k) => {
    const clean = cleanOf(drawings[k]!);
    if (!dot?.at || !clean) return dot;
    return { ...dot, at: onPaper(dot.at, clean, shot, 1) };
  });
}

/** From px of an image to those of the paper (`way` 1), or back (−1). */
export function onPaper(
  [x, y]: Point,
  { width, height }: Pick<ImageRef, 'width' | 'height'>,
  { sizePx }: Pick<Shot, 'sizePx'>,
  way: 1 | -1,
): Point {
  return [x + (way * (sizePx[0] - width)) / 2, y + (way * (sizePx[1] - height)) / 2];
}
