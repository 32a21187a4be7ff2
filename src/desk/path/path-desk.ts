/**
 * The places that are followed on one open shot: tapped here, or put right by someone and so everyone's. Each is
 * matched through its whole level in a worker, while the hand rests; what is shown is the flip set's.
 */
import { computed, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import { measureKey } from '../../check/jobs.ts';
import { createPagePool } from '../../check/page-pool.ts';
import type { PathDot } from '../../check/path/follow.ts';
import { arcOnPaper, onPaper, PathFinder, pathOnPaper } from '../../check/path/path-of.ts';
import type { DrawingMeasures } from '../../line/measure-drawing.ts';
import type { Arc } from '../../line/path/arc.ts';
import type { Point } from '../../line/path/step-place.ts';
import type { Body } from '../../note/entry.ts';
import { saidPaths } from '../../note/said-paths.ts';
import { drawingLabelled, drawingOf, levelNamed } from '../../shot/drawing-ref.ts';
import { flipSet } from '../../shot/flip-sets.ts';
import type { Drawing } from '../../shot/model.ts';
import { cleanOf } from '../../shot/takes.ts';
import { checksOf } from '../checks/checks-desk.ts';
import { newChecksWorker } from '../checks/new-worker.ts';
import { flipLabels } from '../model.ts';
import { perSession } from '../per-session.ts';
import type { Session } from '../session.ts';

/** Where a person said it lies, px of the picture. */
interface Known {
  readonly image: string;
  readonly at: Point;
}

export interface Followed {
  readonly place: string;
  readonly level: string;
  /** A, B … in the order they were begun. */
  readonly letter: string;
  /** Put right by someone, so kept and everyone's. */
  readonly said: boolean;
  /** By drawing. */
  readonly known: ReadonlyMap<string, Known>;
}

export interface ShownDot {
  readonly label: string;
  readonly role: Drawing['role'];
  /** Px of the paper; undefined while it is being looked for. */
  readonly dot: PathDot | undefined;
}

export interface ShownPath extends Followed {
  readonly dots: readonly ShownDot[];
  readonly arc: Arc;
  /** Drawings of the level still looked at. */
  readonly left: number;
}

export interface PathDesk {
  /** Of the level on the paper. */
  readonly shown: ReadonlySignal<readonly ShownPath[]>;
  /** Of all levels. */
  readonly followed: ReadonlySignal<readonly Followed[]>;
  /** A dot under the hand, px of the paper. */
  readonly held: Signal<{ readonly place: string; readonly at: Point } | undefined>;
  follow(paper: Point): void;
  /** Says where the place lies on the drawing that is on the paper. */
  putRight(place: string, paper: Point): void;
  takeOff(place: string): void;
  close(): void;
}

/** More arcs on one paper cannot be told apart. */
const MOST = 4;

export const pathsOf = perSession(openPaths);

function openPaths(session: Session): PathDesk {
  const { shot, ledger, clock } = session;
  const checks = checksOf(session);
  const tapped = signal<readonly Omit<Followed, 'letter'>[]>([]);
  const found = signal<ReadonlyMap<string, readonly (PathDot | undefined)[]>>(new Map());
  const held = signal<PathDesk['held']['value']>(undefined);
  const closing = new AbortController();
  const pool = createPagePool(1, newChecksWorker);
  const stopPausing = effect(() => (checks.rest.resting.value ? pool.resume() : pool.pause()));

  const finder = new PathFinder<string>({
    pool,
    signal: closing.signal,
    async lineOf(drawing) {
      const gapPx = checks.tolerances.peek().leakPx;
      const key = measureKey(drawing, gapPx)!;
      const known = checks.measures.peek()?.results.get(key) as DrawingMeasures | undefined;
      if (known) return known;
      const { rough } = drawing;
      const asked = { clean: cleanOf(drawing)!.sha256, rough: rough?.sha256, mostGapPx: gapPx };
      return (await pool.ask(
        { kind: 'drawing', key, ...asked },
        { signal: closing.signal },
      )) as DrawingMeasures;
    },
  });

  const followed = computed((): readonly Followed[] => {
    const said = saidPaths(ledger.entries.value).map(({ place, level, dots }) => ({
      place,
      level,
      known: dots,
      said: true,
    }));
    const own = tapped.value.filter(({ place }) => said.every((other) => other.place !== place));
    return [...said, ...own].map((one, k) => ({ ...one, letter: String.fromCodePoint(65 + (k % 26)) }));
  });

  /** All drawings of a level in the order they come on screen. */
  const drawingsOf = (name: string): Drawing[] => {
    const level = levelNamed(shot.value, name);
    return level ? flipSet(level, { kind: 'all' }).map((label) => drawingLabelled(level, label)!) : [];
  };

  /** What is known on the pictures as they are: a newer take is looked at anew. */
  const knownNow = ({ known }: Followed, drawings: readonly Drawing[]): Map<number, Point> =>
    new Map(
      drawings.flatMap((drawing, k): [number, Point][] => {
        const said = known.get(drawing.label);
        return said && said.image === cleanOf(drawing)?.sha256 ? [[k, said.at]] : [];
      }),
    );

  const running = new Map<string, { readonly by: string; readonly stop: AbortController }>();
  const stopFollowing = effect(() => {
    const now = followed.value;
    for (const [place, { stop }] of running)
      if (now.every((one) => one.place !== place)) {
        stop.abort();
        running.delete(place);
      }
    for (const one of now) {
      const drawings = drawingsOf(one.level);
      const known = knownNow(one, drawings);
      const by = JSON.stringify([
        [...known],
        drawings.map((drawing) => [drawing.label, cleanOf(drawing)?.sha256]),
      ]);
      const before = running.get(one.place);
      if (before?.by === by) continue;
      before?.stop.abort();
      const stop = new AbortController();
      running.set(one.place, { by, stop });
      void run(one.place, drawings, known, stop.signal);
    }
  });

  async function run(
    place: string,
    drawings: readonly Drawing[],
    known: ReadonlyMap<number, Point>,
    stopped: AbortSignal,
  ): Promise<void> {
    const dots: (PathDot | undefined)[] = drawings.map(() => undefined);
    const tell = () => {
      if (stopped.aborted) return;
      found.value = new Map(found.peek()).set(place, pathOnPaper(dots, drawings, shot.peek()));
    };
    tell();
    try {
      await finder.follow(drawings, known, {
        signal: stopped,
        told(k, dot) {
          dots[k] = dot;
          tell();
        },
      });
    } catch {
      // Given up for another start, or the desk is left: nobody waits for it.
    }
  }

  const shown = computed((): readonly ShownPath[] => {
    const model = session.model.value;
    const labels = new Set(flipLabels(shot.value, model));
    return followed.value
      .filter(({ level }) => level === model.level)
      .map((one) => {
        const all = found.value.get(one.place) ?? [];
        const drawings = drawingsOf(one.level);
        const dots = drawings.flatMap(({ label, role }, k): ShownDot[] =>
          labels.has(label) ? [{ label, role, dot: all[k] }] : [],
        );
        const arc = arcOnPaper(
          dots.map(({ dot }) => dot),
          shot.value,
        );
        return { ...one, dots, arc, left: drawings.filter((_, k) => !all[k]).length };
      });
  });

  /** The picture under the hand, and a place of the paper in its px; a sentence where there is none. */
  const underHand = (paper: Point) => {
    const here = session.onPaper.peek();
    const drawing = here && drawingOf(shot.peek(), here);
    const clean = drawing && cleanOf(drawing);
    if (!here || !clean) return undefined;
    const at = onPaper(paper, clean, shot.peek(), -1);
    const inside = at[0] >= 0 && at[1] >= 0 && at[0] <= clean.width && at[1] <= clean.height;
    return inside ? { level: here.level, label: here.drawing, clean, at } : undefined;
  };
  const says = (words: string): void => {
    session.notice.value = { says: words };
  };

  return {
    shown,
    followed,
    held,
    follow(paper) {
      const here = underHand(paper);
      if (!here) return says('There is no clean-up here to follow a place on.');
      if (followed.peek().filter(({ level }) => level === here.level).length >= MOST)
        return says(`${MOST} places are followed already; take one off first.`);
      const { level, label, clean, at } = here;
      tapped.value = [
        ...tapped.peek(),
        { place: clock.newId(), level, said: false, known: new Map([[label, { image: clean.sha256, at }]]) },
      ];
    },
    putRight(place, paper) {
      const here = underHand(paper);
      const one = followed.peek().find((other) => other.place === place);
      if (!one || !here) return says('There is no clean-up here to put the place right on.');
      const said = new Map(saidPaths(ledger.entries.peek()).find((other) => other.place === place)?.dots);
      const bodyOf = (drawing: string, known: Known | undefined, image: string): Body => ({
        kind: 'path dot',
        place,
        level: one.level,
        drawing,
        image: known?.image ?? image,
        at: known ? [round(known.at[0]), round(known.at[1])] : null,
      });
      // Where it was tapped goes along, or the others would have nothing to start from elsewhere.
      const wanted = new Map([...one.known, [here.label, { image: here.clean.sha256, at: here.at }]]);
      const isSaid = (drawing: string, { image, at: [x, y] }: Known): boolean => {
        const known = said.get(drawing);
        return known?.image === image && known.at[0] === x && known.at[1] === y;
      };
      const changed = [...wanted].filter(([drawing, known]) => !isSaid(drawing, known));
      session.edit({
        says: `Place ${one.letter} put right on ${here.label}`,
        bodies: changed.map(([drawing, known]) => bodyOf(drawing, known, known.image)),
        back: changed.map(([drawing, known]) => bodyOf(drawing, said.get(drawing), known.image)),
      });
    },
    takeOff(place) {
      const one = followed.peek().find((other) => other.place === place);
      const said = saidPaths(ledger.entries.peek()).find((other) => other.place === place);
      tapped.value = tapped.peek().filter((other) => other.place !== place);
      if (!one || !said) return;
      const bodies = (taken: boolean) =>
        [...said.dots].map(
          ([drawing, { image, at }]): Body => ({
            kind: 'path dot',
            place,
            level: said.level,
            drawing,
            image,
            at: taken ? null : [...at],
          }),
        );
      session.edit({ says: `Place ${one.letter} taken off`, bodies: bodies(true), back: bodies(false) });
    },
    close() {
      stopFollowing();
      stopPausing();
      for (const { stop } of running.values()) stop.abort();
      closing.abort();
      pool.close();
    },
  };
}

const round = (value: number): number => Math.round(value * 100) / 100;
