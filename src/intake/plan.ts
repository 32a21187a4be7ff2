/** From files to shots, drawings and questions. Pure: asked again after every answer. */

import { groupBy } from '../shot/group-by.ts';
import type { Shot } from '../shot/model.ts';
import { gatherOdd } from './gather.ts';
import { layerHint, nameParts } from './names.ts';
import { planShot } from './plan-shot.ts';
import type { Answers, Opened, Plan, PlannedShot } from './types.ts';

/** Names of folders that hold one shot each, when several lie side by side: `sc04`, `cut_12`, `Shot 3`. */
const shotName = /^(?:sc|scn|scene|shot|sh|cut|カット|szene|plan)[\s_.-]*\d+[a-z]?$/iu;

/**
 * What would be taken in, with the answers given so far. A folder with a `shot.json` is a shot of its own,
 * and so is each of several folders named like shots; everything else that was offered is one shot.
 * `into` is the shot to which all is added, if any.
 */
export function planIntake(opened: Opened, answers: Answers, into?: Shot): Plan {
  const { pictures } = opened;
  const roots = into ? [] : shotRoots(opened);
  const rootOf = (path: string) => roots.find((root) => path.startsWith(`${root}/`)) ?? '';
  const common = commonFolder(pictures.map(({ path }) => path));
  const refused = opened.odd.flatMap(({ taken, name, names }) => (taken ? [] : (names ?? [name])));
  const groups = [...groupBy(pictures, ({ path }) => rootOf(path))];
  const planned = groups.map(([root, files]) => {
    const folder = root || (groups.length === 1 ? common : commonFolder(files.map(({ path }) => path)));
    const within = <T extends { readonly folder: string }>(list: readonly T[]) =>
      list.find((item) => item.folder === root) ??
      list.find((item) => `${item.folder}/`.startsWith(root && `${root}/`));
    const beside = (['entries.json', 'findings.json'] as const).flatMap(
      (name) => within(opened.beside.filter((file) => file.name === name)) ?? [],
    );
    const title = titleOf(folder, files[0]?.path ?? '');
    return planShot({
      files,
      folder,
      title: title ?? noName,
      unnamed: title === undefined,
      shotFile: within(opened.shotFiles)?.file,
      sheet: within(opened.sheets)?.text,
      beside,
      answers,
      into,
      refused: refused.filter((path) => path.startsWith(root && `${root}/`)),
    });
  });
  return {
    shots: numbered(planned.map(({ shot }) => shot).filter(({ levels }) => levels.length > 0)),
    questions: planned.flatMap(({ questions }) => questions),
    odd: gatherOdd([...opened.odd, ...planned.flatMap(({ odd }) => odd)]),
    fileCount: pictures.length,
    byteLength: pictures.reduce((sum, { byteLength }) => sum + byteLength, 0),
  };
}

/** What a shot is called where neither folder, name nor `shot.json` says it. */
const noName = 'Shot';

/** Several shots without a name are told apart by a number. */
function numbered(shots: readonly PlannedShot[]): PlannedShot[] {
  let n = 0;
  return shots.map((shot) => (shot.unnamed && ++n > 1 ? { ...shot, title: `${shot.title} ${n}` } : shot));
}

/** Folders that are shots of their own, innermost first. */
function shotRoots({ pictures, shotFiles }: Opened): string[] {
  const declared = shotFiles.map(({ folder }) => folder).filter((folder) => folder !== '');
  const named = pictures.flatMap(({ path }) => {
    const folders = path.split('/').slice(0, -1);
    const at = folders.findIndex((folder) => shotName.test(folder));
    return at < 0 ? [] : [folders.slice(0, at + 1).join('/')];
  });
  const roots = new Set([...declared, ...(new Set(named).size > 1 ? named : [])]);
  return [...roots].sort((a, b) => b.length - a.length);
}

/** The folder that holds all of these files. */
function commonFolder(paths: readonly string[]): string {
  const [first = [], ...rest] = paths.map((path) => path.split('/').slice(0, -1));
  const length = first.findIndex((part, i) => rest.some((folders) => folders[i] !== part));
  return (length < 0 ? first : first.slice(0, length)).join('/');
}

/** The innermost folder that is not `rough` or `clean`; else the words of the first name before its number and layer. */
function titleOf(folder: string, path: string): string | undefined {
  const named = folder
    .split('/')
    .reverse()
    .find((part) => part && !layerHint({ stem: part, folders: [] }).layer);
  if (named) return named;
  const { stem, fields } = nameParts(path);
  const words = stem.slice(0, fields.at(-1)?.start).match(/[\s_.-]*[^\s_.-]+/g) ?? [];
  while (words.length > 0 && layerHint({ stem: words.at(-1) ?? '', folders: [] }).layer) words.pop();
  return words.join('').replace(/^[\s_.-]+/, '') || undefined;
}
