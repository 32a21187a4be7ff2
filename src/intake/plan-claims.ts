/** Several files for one drawing: takes in order where their names say so, else a question. */
import { groupBy } from '../shot/group-by.ts';
import { compareLabels } from '../shot/labels.ts';
import type { Layer } from './names.ts';
import type { Notes } from './plan-input.ts';
import { extensionOf } from './sniff.ts';
import type { IntakeFile } from './source.ts';
import type { Answers, Question } from './types.ts';

/** A file that says it is the rough or a clean-up of a drawing. */
export interface Claim {
  readonly level: string;
  readonly layer: Layer;
  readonly label: string;
  readonly version: number | undefined;
  readonly isCopy: boolean;
  readonly file: IntakeFile;
  readonly series: string;
}

/** At most one rough a drawing, and cleans oldest first. Files that lost are told. */
export function settleClaims(claims: readonly Claim[], answers: Answers, notes: Notes): Claim[] {
  return [
    ...groupBy(claims, ({ level, layer, label }) => JSON.stringify([level, layer, label])).values(),
  ].flatMap((rivals) => {
    const [first] = rivals;
    if (!first || rivals.length === 1) return rivals;
    const versions = rivals.map(({ version }) => version ?? 0);
    if (new Set(versions).size === rivals.length) return byVersion(rivals, notes);
    const question = questionOf(first, rivals, notes);
    const answer = answers.get(question.id) ?? question.guess;
    const chosen = rivals.find((rival) => valueOf(rival, rivals) === answer) ?? first;
    for (const { file } of rivals.filter((rival) => rival !== chosen))
      notes.odd.push({
        name: file.path,
        why: `${chosen.file.path} was chosen for ${placeOf(first)}`,
        todo: 'Give it another number, or a take (“take 2”), to keep both.',
        taken: false,
      });
    return [chosen];
  });
}

function byVersion(rivals: readonly Claim[], notes: Notes): Claim[] {
  const ordered = [...rivals].sort((a, b) => (a.version ?? 0) - (b.version ?? 0));
  const newest = ordered.at(-1);
  if (!newest || newest.layer === 'clean') return ordered;
  for (const { file } of ordered.slice(0, -1))
    notes.odd.push({
      name: file.path,
      why: `${newest.file.path} is a newer version of the same rough`,
      todo: '',
      taken: false,
    });
  return [newest];
}

/** Asked once for two whole series of the same numbers, else once a drawing. */
function questionOf(first: Claim, rivals: readonly Claim[], notes: Notes): Question {
  const bySeries = areOfDifferentSeries(rivals);
  const values = rivals.map((rival) => valueOf(rival, rivals));
  const id = `twice:${first.layer}:${bySeries ? [...values].sort().join('|') : `${first.level}:${first.label}`}`;
  const asked = notes.questions.find((question) => question.id === id);
  const files = [...(asked?.files ?? []), ...rivals.map(({ file }) => file)];
  const question: Question = asked
    ? {
        ...asked,
        files,
        text: `Two series of files hold the same ${first.layer} drawings. Which one counts?`,
      }
    : {
        id,
        text: `${rivals.length} files are ${placeOf(first)}. Which one counts?`,
        files,
        choices: rivals.map(({ file }, i) => ({
          value: values[i] ?? '',
          text: bySeries ? (values[i] ?? '') : file.path,
          file,
        })),
        guess: valueOf(best(rivals), rivals),
      };
  if (asked) notes.questions.splice(notes.questions.indexOf(asked), 1, question);
  else notes.questions.push(question);
  return question;
}

function areOfDifferentSeries(rivals: readonly Claim[]): boolean {
  return new Set(rivals.map(seriesOf)).size === rivals.length;
}

/** Two types of file in one folder are two series, though their names are alike. */
function seriesOf({ series, file }: Claim): string {
  const extension = extensionOf(file.path);
  return extension ? `${series}.${extension}` : series;
}

function valueOf(rival: Claim, rivals: readonly Claim[]): string {
  return areOfDifferentSeries(rivals) ? seriesOf(rival) : rival.file.path;
}

/** A file before its copies, files without loss first, then by name. */
const preference = ['png', 'tif', 'tiff', 'webp', 'jpg', 'jpeg'];

function best(rivals: readonly Claim[]): Claim {
  const rank = ({ file }: Claim) =>
    (preference.indexOf(extensionOf(file.path)) + preference.length + 1) % (preference.length + 1);
  const order = (a: Claim, b: Claim) =>
    Number(a.isCopy) - Number(b.isCopy) || rank(a) - rank(b) || compareLabels(a.file.path, b.file.path);
  return [...rivals].sort(order)[0] as Claim;
}

function placeOf({ level, layer, label }: Claim): string {
  return `${layer} ${label}${level ? ` of ${level}` : ''}`;
}
