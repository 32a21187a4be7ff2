/** From a plan and what was made of its files to a shot: a new one, or more drawings in one that is there. */
import { soundCharts } from '../shot/chart-tree.ts';
import { readExposureCsv } from '../shot/exposure-csv.ts';
import { guessExposures } from '../shot/exposures.ts';
import { foldFrames } from '../shot/fold.ts';
import { imagesOf } from '../shot/images-of.ts';
import { compareLabels } from '../shot/labels.ts';
import type { Drawing, Exposure, ImageRef, Level, Shot } from '../shot/model.ts';
import { extraOf, type ShotFileDrawing, type ShotFileLevel } from '../shot/shot-json.ts';
import { soundExposures } from '../shot/sound-exposures.ts';
import { addTake } from '../shot/takes.ts';
import { mostPixels } from './limits.ts';
import type { IntakeFile, OddFile } from './source.ts';
import type { PlannedDrawing, PlannedLevel, PlannedShot } from './types.ts';

/** What is known of a taken file. */
export interface TakenFile {
  readonly ref: ImageRef;
  /** Digest of its pixels, where it was made (see `needsPixels`). */
  readonly pixels?: string;
}

type TakenFiles = ReadonlyMap<IntakeFile, TakenFile>;

export interface BuiltShot {
  readonly shot: Shot;
  readonly added: number;
  readonly unchanged: number;
  readonly odd: readonly OddFile[];
}

const guessedFps = 24;

/** Whether a level may be one file a frame, so that equal pixels have to be found. */
export function needsPixels(planned: PlannedShot, level: PlannedLevel, base: Shot | undefined): boolean {
  const given = planned.sheet !== undefined || fileLevel(planned, level.name)?.exposures;
  return (
    !base &&
    !given &&
    level.drawings.length > 1 &&
    level.drawings.every(({ label }) => /^\d{1,9}$/.test(label))
  );
}

/** Files of the plan that are not in `taken` are left out. `base` is the shot to add to, if any. */
export function buildShot(planned: PlannedShot, taken: TakenFiles, id: string, base?: Shot): BuiltShot {
  const builder = new Builder(planned, taken, base);
  const levels = builder.levels();
  const { title, shotFile } = planned;
  const extra = base?.extra ?? (shotFile && extraOf(shotFile));
  const fps = base?.fps ?? shotFile?.fps;
  const shot: Shot = {
    id,
    title: base?.title ?? title,
    fps: fps ?? guessedFps,
    ...((base ? base.fpsGuessed : !fps) && { fpsGuessed: true }),
    sizePx: sizeOf(levels),
    levels,
    ...(extra && { extra }),
  };
  builder.tellSizes(shot);
  const { added, unchanged, odd } = builder;
  return { shot, added, unchanged, odd };
}

/** Gathers what is told and counted while levels are put together. */
class Builder {
  added = 0;
  unchanged = 0;
  readonly odd: OddFile[] = [];
  readonly #planned: PlannedShot;
  readonly #taken: TakenFiles;
  readonly #base: Shot | undefined;

  constructor(planned: PlannedShot, taken: TakenFiles, base: Shot | undefined) {
    this.#planned = planned;
    this.#taken = taken;
    this.#base = base;
  }

  levels(): Level[] {
    const base = this.#base?.levels ?? [];
    const planned = this.#planned.levels;
    const fresh = planned.filter(({ name }) => !base.some((level) => level.name === name));
    return [
      ...base.map((level) => {
        const more = planned.find(({ name }) => name === level.name);
        return more ? this.#level(more, level) : level;
      }),
      ...fresh.map((level) => this.#level(level)).filter(({ drawings }) => drawings.length > 0),
    ];
  }

  #level(planned: PlannedLevel, base?: Level): Level {
    const inFile = fileLevel(this.#planned, planned.name);
    const folded = base ? undefined : this.#fold(planned);
    const kept = folded
      ? planned.drawings.filter(({ label }) => folded.labels.includes(label))
      : planned.drawings;
    const known = new Map((base?.drawings ?? []).map((drawing) => [drawing.label, drawing]));
    for (const drawing of inFile?.drawings ?? [])
      known.set(drawing.label, fromFile(drawing, known.get(drawing.label)));
    for (const drawing of kept) {
      const merged = this.#drawing(drawing, known.get(drawing.label));
      if (merged) known.set(drawing.label, merged);
    }
    const charts = soundCharts([...known.values()].sort((a, b) => compareLabels(a.label, b.label)));
    this.#tell(charts.faults);
    const extra = base?.extra ?? (inFile && extraOf(inFile));
    return {
      name: planned.name,
      drawings: charts.drawings,
      ...this.#exposures(planned.name, charts.drawings, folded?.exposures, base),
      ...(extra && { extra }),
    };
  }

  #drawing({ label, rough, cleans }: PlannedDrawing, base: Drawing | undefined): Drawing | undefined {
    const [newRough, ...takes] = [rough, ...cleans].map((file) => file && this.#taken.get(file)?.ref);
    if (!base && !newRough && takes.every((take) => !take)) return undefined;
    let drawing: Drawing = base ?? { label, takes: [] };
    if (newRough && newRough.sha256 !== drawing.rough?.sha256) {
      if (!drawing.rough || this.#planned.replaceRoughs) {
        drawing = { ...drawing, rough: newRough };
        this.added++;
      } else if (rough)
        this.odd.push({
          name: rough.path,
          why: `rough ${label} is in the shot already and differs`,
          todo: 'The one that was there stays; take it in again and choose the new file to replace it.',
          taken: false,
        });
    } else if (newRough) this.unchanged++;
    for (const take of takes) {
      if (!take) continue;
      const more = addTake(drawing, take);
      if (more === drawing) this.unchanged++;
      else this.added++;
      drawing = more;
    }
    return drawing;
  }

  #fold(planned: PlannedLevel): ReturnType<typeof foldFrames> {
    if (!needsPixels(this.#planned, planned, this.#base)) return undefined;
    const pixelsOf = (file: IntakeFile | undefined) => file && this.#taken.get(file)?.pixels;
    const frames = planned.drawings.flatMap(({ label, rough, cleans }) => {
      const [roughPixels, cleanPixels] = [pixelsOf(rough), pixelsOf(cleans.at(-1))];
      if (!roughPixels && !cleanPixels) return [];
      const frame = Number(label);
      // A clean that cannot be read may show anything: its rough alone does not make it its neighbour's hold.
      if (cleans.length > 0 && !cleanPixels)
        return [{ frame, label, rough: `${roughPixels}, frame ${label}` }];
      return [
        {
          frame,
          label,
          ...(roughPixels && { rough: roughPixels }),
          ...(cleanPixels && { clean: cleanPixels }),
        },
      ];
    });
    const folded = foldFrames(frames);
    if (folded)
      this.odd.push({
        name: planned.name || this.#planned.title,
        why: `equal pictures in its ${frames.length} numbered frames were taken as ${folded.labels.length === 1 ? 'one drawing' : `${folded.labels.length} drawings`}, held`,
        todo: '',
        taken: true,
      });
    return folded;
  }

  #exposures(
    name: string,
    drawings: readonly Drawing[],
    folded: readonly Exposure[] | undefined,
    base: Level | undefined,
  ): Pick<Level, 'exposures' | 'exposuresGuessed'> {
    const given = this.#sheet(name) ?? fileLevel(this.#planned, name)?.exposures ?? folded;
    const labels = drawings.map(({ label }) => label);
    if (base && !base.exposuresGuessed && !given) return { exposures: base.exposures };
    if (!given) return { exposures: guessExposures(labels), exposuresGuessed: true };
    const { exposures, faults } = soundExposures(given, labels);
    this.#tell(faults);
    return { exposures };
  }

  #sheetRead?: ReturnType<typeof readExposureCsv>;

  /** The level's part of `exposure.csv`, which goes before `shot.json`: it is the one people edit by hand. */
  #sheet(name: string): readonly Exposure[] | undefined {
    const { sheet, levels } = this.#planned;
    if (sheet === undefined) return undefined;
    if (!this.#sheetRead) {
      this.#sheetRead = readExposureCsv(sheet);
      this.#tell(this.#sheetRead.faults);
    }
    const only =
      levels.length === 1 && this.#sheetRead.levels.size === 1
        ? [...this.#sheetRead.levels.values()][0]
        : undefined;
    return this.#sheetRead.levels.get(name) ?? only;
  }

  tellSizes({ sizePx: [width, height], levels }: Shot): void {
    const odd = levels.flatMap(({ drawings }) =>
      drawings.filter(({ rough, takes }) =>
        [rough, takes.at(-1)?.image].some(
          (image) => image && (image.width !== width || image.height !== height),
        ),
      ),
    );
    if (odd.length === 0) return;
    const some = odd
      .slice(0, 12)
      .map(({ label }) => label)
      .join(', ');
    const which =
      odd.length === 1 ? `drawing ${some} is` : `drawings ${some}${odd.length > 12 ? ' and more' : ''} are`;
    this.#tell([`${which} smaller than the paper of ${width} × ${height} px, and centred on it`]);
    if (width * height > mostPixels)
      this.#tell([
        `the widest of its pictures and the tallest make a paper of ${width} × ${height} px together, more than one picture may have; look whether they belong to one shot`,
      ]);
  }

  #tell(sentences: readonly string[]): void {
    const tell = (why: string): void => {
      this.odd.push({ name: this.#planned.title, why, todo: '', taken: true });
    };
    // A sheet of another shot fails in every record; three show what is the matter.
    for (const sentence of sentences.slice(0, 3)) tell(sentence.replace(/\.$/, ''));
    const more = sentences.length - 3;
    if (more > 0) tell(more === 1 ? 'one more like these' : `${more} more like these`);
  }
}

function fileLevel({ shotFile }: PlannedShot, name: string): ShotFileLevel | undefined {
  return shotFile?.levels.find((level) => level.name === name);
}

function fromFile(file: ShotFileDrawing, base: Drawing | undefined): Drawing {
  const extra = extraOf(file);
  const { label, role, chart, runsOn } = file;
  return {
    label,
    takes: [],
    ...(role && { role }),
    ...(chart && { chart }),
    ...(runsOn && { runsOn }),
    ...(extra && { extra }),
    ...base,
  };
}

/** The largest width and height; 1 × 1 when there is no picture at all. */
function sizeOf(levels: readonly Level[]): [number, number] {
  const images = imagesOf({ levels });
  return [
    Math.max(1, ...images.map(({ width }) => width)),
    Math.max(1, ...images.map(({ height }) => height)),
  ];
}
