/** The shot on paper: a pure function of its entries, whatever their order and repeats. */
import { drawingKey } from '../shot/drawing-ref.ts';
import { guessExposures } from '../shot/exposures.ts';
import { imagesOf } from '../shot/images-of.ts';
import { compareLabels } from '../shot/labels.ts';
import type { Drawing, Extra, ImageRef, Level, Shot } from '../shot/model.ts';
import type { Entry } from './entry.ts';
import { may } from './may.ts';
import { isOfShot } from './origin.ts';
import { settleExposures } from './settle-exposures.ts';
import { type SaidTake, takesOf } from './takes.ts';
import { type EntryOf, inOrder, isKind, withdrawnIds } from './union.ts';

const guessedFps = 24;

/** Whether `shotOf` reads it; everything else can be left out of what it is given. */
export function makesShot(entry: Entry): boolean {
  return isOfShot(entry) || isKind(entry, 'withdraw');
}

/**
 * The shot that the entries make; undefined while they tell of no drawing. Each thing by its last writer; what a
 * writer's role may not say (an entry of a later version, stored before anybody here could judge it) changes
 * nothing. Linear in the number of entries but for sorting.
 *
 * Exposures are set drawing by drawing, so two people's can claim one frame: the later entry has it, and the other
 * drawing keeps the rest of its hold. Where no sheet came with the level, the rest are guessed in order on twos, and
 * give way to what somebody set.
 */
export function shotOf(id: string, entries: readonly Entry[]): Shot | undefined {
  const ordered = inOrder(entries.filter(makesShot));
  const withdrawn = withdrawnIds(ordered);
  const paper = new Paper();
  for (const entry of ordered)
    if (isOfShot(entry) && !withdrawn.has(entry.id) && may(entry.writer, entry.body, () => undefined).may)
      paper.read(entry);
  return paper.shot(id, takesOf(ordered, withdrawn));
}

/** The shot without the pictures that are not here yet; takes keep their numbers. */
export function withoutPictures(shot: Shot, lacking: ReadonlySet<string>): Shot {
  if (lacking.size === 0) return shot;
  const here = (image: ImageRef | undefined): image is ImageRef =>
    image !== undefined && !lacking.has(image.sha256);
  const levels = shot.levels.map((level) => ({
    ...level,
    drawings: level.drawings.map(({ rough, takes, ...drawing }) => ({
      ...drawing,
      ...(here(rough) && { rough }),
      takes: takes.filter(({ image }) => here(image)),
    })),
  }));
  return { ...shot, levels };
}

interface OnPaper {
  readonly drawings: Map<string, Drawing>;
  readonly exposures: Map<string, EntryOf<'exposure'>>;
  hasSheet: boolean;
  extra: Extra | undefined;
}

/** Reads entries in their order. */
class Paper {
  #title = '';
  #fps: number | null = null;
  #extra: Extra | undefined;
  #order: readonly string[] = [];
  readonly #levels = new Map<string, OnPaper>();
  /** What is said of drawings that may come only later. */
  readonly #said: EntryOf<'role' | 'chart' | 'exposure'>[] = [];

  read(entry: Entry): void {
    const { body } = entry;
    switch (body.kind) {
      case 'shot':
        this.#title = body.title ?? this.#title;
        if (body.fps !== undefined) this.#fps = body.fps;
        this.#extra = body.extra ?? this.#extra;
        return;
      case 'levels':
        this.#order = body.order;
        return;
      case 'level': {
        const level = this.#level(body.level);
        level.hasSheet = body.sheet ?? level.hasSheet;
        level.extra = body.extra ?? level.extra;
        return;
      }
      case 'drawing':
        return this.#draw(body, factsOf(body));
      case 'rough':
        return this.#draw(body, { rough: body.image ?? undefined });
      case 'take':
        return this.#draw(body);
      case 'role':
      case 'chart':
      case 'exposure':
        this.#said.push(entry as EntryOf<'role' | 'chart' | 'exposure'>);
        return;
      default:
    }
  }

  shot(id: string, takes: ReadonlyMap<string, readonly SaidTake[]>): Shot | undefined {
    for (const { body, ...entry } of this.#said) {
      const level = this.#levels.get(body.level);
      const drawing = level?.drawings.get(body.drawing);
      if (!level || !drawing) continue;
      if (body.kind === 'exposure') level.exposures.set(body.drawing, { body, ...entry });
      else if (body.kind === 'role') this.#draw(body, { role: body.role ?? undefined });
      else this.#draw(body, { chart: body.chart ?? undefined });
    }
    const order = new Map(this.#order.map((name, place) => [name, place]));
    const placeOf = (name: string): number => order.get(name) ?? order.size;
    const levels = [...this.#levels]
      .sort(([a], [b]) => placeOf(a) - placeOf(b))
      .map(([name, onPaper]) => levelOf(name, onPaper, takes));
    if (levels.every(({ drawings }) => drawings.length === 0)) return undefined;
    return {
      id,
      title: this.#title,
      fps: this.#fps ?? guessedFps,
      ...(this.#fps === null && { fpsGuessed: true }),
      sizePx: sizeOf(levels),
      levels,
      ...(this.#extra && { extra: this.#extra }),
    };
  }

  #level(name: string): OnPaper {
    const known = this.#levels.get(name);
    if (known) return known;
    const level = { drawings: new Map(), exposures: new Map(), hasSheet: false, extra: undefined };
    this.#levels.set(name, level);
    return level;
  }

  /** The drawing is there, with these fields changed. */
  #draw(
    at: { level: string; drawing: string },
    fields: { [F in keyof Drawing]?: Drawing[F] | undefined } = {},
  ): void {
    const { drawings } = this.#level(at.level);
    const known = drawings.get(at.drawing) ?? { label: at.drawing, takes: [] };
    const changed = Object.entries({ ...known, ...fields }).filter(([, value]) => value !== undefined);
    drawings.set(at.drawing, Object.fromEntries(changed) as unknown as Drawing);
  }
}

/**
 * What an entry says of a drawing by itself. A version that did not know the mark yet read it from a `shot.json` as a field
 * unknown to it.
 */
function factsOf({ extra, runsOn }: EntryOf<'drawing'>['body']): {
  [F in keyof Drawing]?: Drawing[F] | undefined;
} {
  const { runsOn: unread, ...rest } = extra ?? {};
  const said = runsOn ?? (typeof unread === 'boolean' ? unread : undefined);
  return {
    ...(extra && { extra: Object.keys(rest).length > 0 ? rest : undefined }),
    ...(said !== undefined && { runsOn: said || undefined }),
  };
}

function levelOf(
  name: string,
  { drawings: found, exposures: set, hasSheet, extra }: OnPaper,
  takes: ReadonlyMap<string, readonly SaidTake[]>,
): Level {
  const drawings = [...found.values()]
    .sort((a, b) => compareLabels(a.label, b.label))
    .map((drawing) => ({
      ...drawing,
      takes: (takes.get(drawingKey({ level: name, drawing: drawing.label })) ?? []).map(
        ({ number, image }) => ({
          number,
          image,
        }),
      ),
    }));
  const guessed = hasSheet ? [] : guessExposures(drawings.map(({ label }) => label));
  const isGuess = !hasSheet && set.size === 0;
  return {
    name,
    drawings,
    exposures: isGuess ? guessed : settleExposures(guessed, [...set.values()]),
    ...(isGuess && { exposuresGuessed: true }),
    ...(extra && { extra }),
  };
}

/** The largest width and height; 1 × 1 when there is no picture at all. */
function sizeOf(levels: readonly Level[]): [number, number] {
  const images = imagesOf({ levels });
  return images.reduce<[number, number]>(
    ([width, height], image) => [Math.max(width, image.width), Math.max(height, image.height)],
    [1, 1],
  );
}
