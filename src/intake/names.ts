/** What a file's name and folders say: rough or clean, which drawing, which take, which level. */
import { tidyLabel } from '../shot/labels.ts';

export type Layer = 'rough' | 'clean';

/** Numbers that may be the drawing's, and the words around them, of one file. */
export interface NameParts {
  readonly path: string;
  /** Folders above the file, outermost first. */
  readonly folders: readonly string[];
  /** Name without its type ending. */
  readonly stem: string;
  /** Numbers in `stem`, in order. */
  readonly fields: readonly NumberField[];
  /** `stem` with each number replaced by `#`: files alike in folder and pattern form a series. */
  readonly pattern: string;
}

export interface NumberField {
  readonly label: string;
  readonly start: number;
  readonly end: number;
  /** False for a scene, a version, a size, a rate: numbers that are seldom a drawing's. */
  readonly likely: boolean;
}

/** Endings that are left off a name; `.0007` at its end is a number. */
const ending = /\.(a?png|jpe?g?|jpe|jfif|webp|tiff?|gif|bmp)$/i;

export const withoutEnding = (path: string): string => path.replace(ending, '');

/** What systems add to the name of a copy: `7 (2)`, `7 copy`, `7 - Copy (3)`, `Copy of 7`. */
const copyMark =
  /(?:[\s_]*\(\d{1,3}\)|[\s_-]+(?:copy|kopie|copie|copia|копия|コピー)(?:[\s_-]*\(?\d{1,3}\)?)?)(?=(?:\.[^./]*)?$)/iu;
const copyOf = /(^|\/)(?:copy of|kopie von|copie de|copia di|copia de)\s+(?=[^/]*$)/iu;

/** The path that a copy was made from, by its name; undefined for a name that is no copy's. */
export function copiedFrom(path: string): string | undefined {
  const plain = path.replace(copyMark, '').replace(copyOf, '$1');
  return plain === path ? undefined : plain;
}

/** Words before a number that make it something else than a drawing's (common practice, no source). */
const notBefore =
  /(?:^|[^\p{L}])(?:sc|scn|scene|shot|sh|sq|seq|cut|ep|act|v|ver|version|take|tk|rev|カット|plan|szene)[\s_.-]*$/iu;
/** What after a number makes it a size or a rate. */
const notAfter = /^(?:\s*(?:px|k|fps|dpi|bit|x\d))/i;

export function nameParts(path: string): NameParts {
  const segments = path.split('/');
  const stem = (segments.pop() ?? '').replace(ending, '').normalize('NFKC');
  const fields = [...stem.matchAll(/\d+(?:[A-Za-z](?![\p{L}\d]))?/gu)].map((match): NumberField => {
    const [start, end] = [match.index, match.index + match[0].length];
    const size = /\d[x×]$/i.test(stem.slice(0, start));
    const likely = !notBefore.test(stem.slice(0, start)) && !notAfter.test(stem.slice(end)) && !size;
    return { label: tidyLabel(match[0]), start, end, likely };
  });
  let pattern = '';
  let at = 0;
  for (const { start, end } of fields) {
    pattern += `${stem.slice(at, start)}#`;
    at = end;
  }
  return { path, folders: segments, stem, fields, pattern: pattern + stem.slice(at) };
}

/**
 * Which of the numbers of a series (same folder, same pattern) is the drawing's: the last likely one that
 * changes from file to file; else the last likely one; else the last that changes; else the last.
 * Undefined for names without numbers.
 */
export function drawingField(series: readonly NameParts[]): number | undefined {
  const [first] = series;
  const places = (first?.fields ?? []).map((_, i) => i).reverse();
  const changes = (i: number) => new Set(series.map((name) => name.fields[i]?.label)).size > 1;
  const likely = (i: number) => first?.fields[i]?.likely ?? false;
  return (
    places.find((i) => likely(i) && changes(i)) ?? places.find(likely) ?? places.find(changes) ?? places[0]
  );
}

const words: Readonly<Record<'sure' | 'maybe', Readonly<Record<Layer, ReadonlySet<string>>>>> = {
  sure: {
    rough: new Set(
      'rough roughs ruff tiedown tiedowns roughanim skizze brouillon esquisse boceto bozza черновик ラフ 草稿'.split(
        ' ',
      ),
    ),
    clean: new Set(
      'clean cleans cleaned cleanup cleanups cleanedup reinzeichnung propre limpio pulito чистовик 清書 清稿 クリーンアップ クリンナップ クリーンナップ'.split(
        ' ',
      ),
    ),
  },
  // Short or of two meanings (`cu` is a close-up too): believed only beside their counterpart, else asked.
  maybe: {
    rough: new Set('ro rgh ruf td r pencil pencils sketch sketches anim animation roh'.split(' ')),
    clean: new Set(
      'cu cl cln c line lines lineart ink inks inked final finals trace tracing fair rein'.split(' '),
    ),
  },
};

/** What names say of a file's layer, and how sure it is. */
export interface LayerHint {
  readonly layer: Layer | undefined;
  readonly sure: boolean;
}

/**
 * The name counts before the folder it lies in, and that before those above. Sure words count before short
 * ones; words for both layers in one place, or in the name against its folder, are no longer sure.
 */
export function layerHint({ stem, folders }: Pick<NameParts, 'stem' | 'folders'>): LayerHint {
  const places = [stem, ...[...folders].reverse()].map(wordsOf);
  for (const sureness of ['sure', 'maybe'] as const)
    for (const [depth, place] of places.entries()) {
      const found = layersIn(place, words[sureness]);
      const [layer] = found;
      if (!layer) continue;
      const against =
        found.length > 1 ||
        (depth === 0 && layersIn(places[1] ?? [], words.sure).some((other) => other !== layer));
      return { layer, sure: sureness === 'sure' && !against };
    }
  return { layer: undefined, sure: false };
}

function layersIn(place: readonly string[], table: Readonly<Record<Layer, ReadonlySet<string>>>): Layer[] {
  return (['clean', 'rough'] as const).filter((layer) => place.some((word) => table[layer].has(word)));
}

/** Lower-case words of a name; `TieDown`, `tie-down` and `tie down` are one word, as is `clean-up`. */
function wordsOf(text: string): string[] {
  return splitWords(text).map((word) => word.toLowerCase());
}

function splitWords(text: string): string[] {
  const joined = text
    .normalize('NFKC')
    .replace(/(\p{Ll})(\p{Lu})/gu, '$1 $2')
    .replace(/(tie)[\s_.-]*(downs?)(?!\p{L})/giu, '$1$2')
    .replace(/(clean(?:ed)?)[\s_.-]*(ups?)(?!\p{L})/giu, '$1$2');
  // Marks belong to the letters before them in many scripts.
  return joined.match(/[\p{L}][\p{L}\p{M}]*|\d+/gu) ?? [];
}

/** Number of a take or version: `v3`, `take 2`, `tk02` in the name, else in its nearest folders. */
export function versionOf({ stem, folders }: Pick<NameParts, 'stem' | 'folders'>): number | undefined {
  for (const place of [stem, ...[...folders].reverse()]) {
    const found = /(?:^|[^\p{L}])(?:v|ver|version|take|tk|rev)[\s_.-]*(\d{1,4})(?!\d)/iu.exec(place);
    if (found) return Number(found[1]);
  }
  return undefined;
}

/** Words that say nothing about a level. */
const fillers = new Set(
  'frame frames fr img image images drawing drawings dwg page scan cel cels level layer take tk v ver version rev copy export png tif tiff jpg jpeg webp new'.split(
    ' ',
  ),
);

/**
 * What is left of a name or folder as a level's name: without words for layers, without the drawing's
 * number (from `start` to `end`), versions and fillers. `A_clean_12A` → `A`; `sc04-tiedown.0007` → `sc 04`.
 */
export function levelWords(text: string, drop?: NumberField, layer?: LayerHint): string {
  const rest = drop ? `${text.slice(0, drop.start)} ${text.slice(drop.end)}` : text;
  const bare = rest.replace(/(^|[^\p{L}])(?:v|ver|version|take|tk|rev)[\s_.-]*\d{1,4}(?!\d)/giu, '$1 ');
  return splitWords(bare)
    .filter((word) => {
      const lower = word.toLowerCase();
      const isLayer = (['rough', 'clean'] as const).some(
        (side) =>
          words.sure[side].has(lower) ||
          (layer?.layer === side && !layer.sure && words.maybe[side].has(lower)),
      );
      return !isLayer && !fillers.has(lower);
    })
    .join(' ');
}
