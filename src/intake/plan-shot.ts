/** One shot's files sorted into levels, drawings, rough and clean. */
import { groupBy } from '../shot/group-by.ts';
import { compareLabels } from '../shot/labels.ts';
import type { Layer } from './names.ts';
import { settleAside, settleStrays } from './plan-aside.ts';
import { type Claim, settleClaims } from './plan-claims.ts';
import { tellGaps } from './plan-gaps.ts';
import type { Notes, ShotInput } from './plan-input.ts';
import { assignLayers, readSeries, type Series } from './plan-layers.ts';
import { assignLevels } from './plan-levels.ts';
import type { IntakeFile } from './source.ts';
import type { BesideFile, PlannedDrawing, PlannedLevel, PlannedShot } from './types.ts';

export function planShot(input: ShotInput): Notes & { shot: PlannedShot } {
  const notes: Notes = { questions: [], odd: [] };
  const { named, rest } = namedInShotFile(input);
  const found = settleAside(readSeries(rest, input, notes), input, notes);
  const series = settleStrays(assignLayers(found, input, notes), input, notes);
  const claims = [...named, ...assignLevels(series, input, notes).flatMap(claimsOf)];
  const settled = settleClaims(claims, input.answers, notes);
  const levels = levelsOf(settled, input);
  const title = input.into?.title ?? input.shotFile?.title ?? input.title;
  for (const level of levels)
    tellGaps(level, { several: levels.length > 1, title, refused: input.refused }, notes);
  const replaceRoughs = askForRoughs(levels, input, notes);
  const { shotFile, sheet, beside } = input;
  const unnamed = input.unnamed && !input.into && shotFile?.title === undefined;
  const id = shotFile?.id ?? idBeside(beside);
  return {
    ...notes,
    shot: {
      title,
      levels,
      replaceRoughs,
      shotFile,
      sheet,
      beside,
      ...(id !== undefined && { id }),
      ...(unnamed && { unnamed }),
    },
  };
}

/** The shot of the first entry that lies beside it. Of a damaged file nothing is said here: its reader does. */
function idBeside(beside: readonly BesideFile[]): string | undefined {
  const file = beside.find(({ name }) => name === 'entries.json');
  try {
    const { entries } = JSON.parse(file?.text ?? '{}') as { entries?: readonly { shot?: unknown }[] };
    const id = entries?.[0]?.shot;
    return typeof id === 'string' && id !== '' && id.length <= 100 ? id : undefined;
  } catch {
    return undefined;
  }
}

/** A rough that is there already is the ground of clean-ups and notes: it is replaced only when told to. */
function askForRoughs(levels: readonly PlannedLevel[], { into, answers }: ShotInput, notes: Notes): boolean {
  const files = levels.flatMap(({ name, drawings }) => {
    const known = into?.levels.find((level) => level.name === name)?.drawings ?? [];
    return drawings.flatMap(({ label, rough }) =>
      rough && known.some((drawing) => drawing.label === label && drawing.rough) ? [rough] : [],
    );
  });
  if (files.length === 0) return false;
  const question = {
    id: 'roughs',
    text: `${files.length === 1 ? 'One rough is' : `${files.length} roughs are`} in the shot already. Where the new file differs, which one counts?`,
    files,
    choices: [
      { value: 'keep', text: 'The rough that is there' },
      { value: 'replace', text: 'The new file' },
    ],
    guess: 'keep',
  };
  notes.questions.push(question);
  return (answers.get(question.id) ?? question.guess) === 'replace';
}

/** Files that `shot.json` names itself: nothing about them need be guessed. */
function namedInShotFile({ files, folder, shotFile }: ShotInput): { named: Claim[]; rest: IntakeFile[] } {
  const byPath = new Map(files.map((file) => [file.path, file]));
  const named = (shotFile?.levels ?? []).flatMap((level) =>
    level.drawings.flatMap(({ label, rough, takes }): Claim[] => {
      const wanted = [
        ...(rough ? [{ layer: 'rough' as const, path: rough, version: 0 }] : []),
        ...(takes ?? []).map(({ number, file }) => ({
          layer: 'clean' as const,
          path: file,
          version: number,
        })),
      ];
      return wanted.flatMap(({ layer, path, version }) => {
        const file = byPath.get(`${folder}/${path}`.replace(/^\//, '').normalize('NFC'));
        return file
          ? [{ level: level.name, layer, label, version, isCopy: false, file, series: 'shot.json' }]
          : [];
      });
    }),
  );
  const taken = new Set(named.map(({ file }) => file));
  return { named, rest: files.filter((file) => !taken.has(file)) };
}

function claimsOf({ level, series }: { level: string; series: Series & { layer: Layer } }): Claim[] {
  return series.members.map(({ file, label, version, isCopy }) => ({
    level,
    layer: series.layer,
    label,
    version,
    isCopy,
    file,
    series: series.id,
  }));
}

/** Levels in the order of `shot.json` or of the shot added to, else by name; drawings in label order. */
function levelsOf(claims: readonly Claim[], { shotFile, into }: ShotInput): PlannedLevel[] {
  const known = (shotFile?.levels ?? into?.levels ?? []).map(({ name }) => name);
  const place = (name: string) => (known.includes(name) ? known.indexOf(name) : known.length);
  return [...groupBy(claims, ({ level }) => level)]
    .map(([name, ofLevel]): PlannedLevel => ({ name, drawings: drawingsOf(ofLevel) }))
    .sort((a, b) => place(a.name) - place(b.name) || compareLabels(a.name, b.name));
}

function drawingsOf(claims: readonly Claim[]): PlannedDrawing[] {
  return [...groupBy(claims, ({ label }) => label)]
    .map(([label, ofDrawing]): PlannedDrawing => {
      const rough = ofDrawing.find(({ layer }) => layer === 'rough')?.file;
      const cleans = ofDrawing.filter(({ layer }) => layer === 'clean').map(({ file }) => file);
      return { label, cleans, ...(rough && { rough }) };
    })
    .sort((a, b) => compareLabels(a.label, b.label));
}
