import type { Box } from '../line/picture.ts';
import type { Level } from '../shot/model.ts';
import { cleanOf } from '../shot/takes.ts';
import { type CheckName, type Finding, findingKey, lineDigest } from './finding.ts';
import type { Measured } from './measured.ts';

/** Findings that only the level as a whole shows: another size, a drawing missing. */
export function findInLevel(level: Level, measured: readonly Measured[]): Finding[] {
  const found: Finding[] = [];
  const report = (
    { drawing, measures }: Measured,
    check: CheckName,
    bbox: Box,
    amount: number,
    message: string,
  ) => {
    const sizePx = measures?.sizePx ?? ([bbox[0] + bbox[2], bbox[1] + bbox[3]] as const);
    found.push({
      key: findingKey(check, level.name, drawing.label, bbox, sizePx),
      check,
      level: level.name,
      drawing: drawing.label,
      bbox,
      amount,
      message,
      lineDigest: lineDigest(measures?.digests, bbox),
    });
  };
  const usual = usualSize(level);
  const someClean = level.drawings.some((drawing) => cleanOf(drawing));
  for (const one of measured) {
    const clean = cleanOf(one.drawing);
    const image = clean ?? one.drawing.rough;
    const paper: Box = [0, 0, image?.width ?? usual[0], image?.height ?? usual[1]];
    if (one.failed) report(one, 'missing', paper, 0, `could not be measured: ${one.failed}`);
    if (!clean && someClean) report(one, 'missing', paper, 0, 'has no clean-up yet');
    for (const [name, size] of [
      ['clean-up', clean],
      ['rough', one.drawing.rough],
    ] as const) {
      if (!size || (size.width === usual[0] && size.height === usual[1])) continue;
      report(
        one,
        'size',
        [0, 0, size.width, size.height],
        size.width / usual[0],
        `${name} is ${size.width} × ${size.height} px, the level ${usual[0]} × ${usual[1]}`,
      );
    }
  }
  const exposed = new Set(level.exposures.map(({ drawing }) => drawing));
  const known = new Set(level.drawings.map(({ label }) => label));
  for (const label of exposed) {
    if (known.has(label)) continue;
    const bbox: Box = [0, 0, usual[0], usual[1]];
    found.push({
      key: findingKey('missing', level.name, label, bbox, usual),
      check: 'missing',
      level: level.name,
      drawing: label,
      bbox,
      amount: 0,
      message: 'is on the exposure sheet, but there is no such drawing',
      lineDigest: lineDigest(undefined, bbox),
    });
  }
  return found;
}

function usualSize(level: Level): readonly [number, number] {
  const counts = new Map<string, { size: readonly [number, number]; count: number }>();
  for (const drawing of level.drawings) {
    for (const image of [cleanOf(drawing), drawing.rough]) {
      if (!image) continue;
      const key = `${image.width}x${image.height}`;
      const seen = counts.get(key);
      counts.set(key, { size: [image.width, image.height], count: (seen?.count ?? 0) + 1 });
    }
  }
  const [most] = [...counts.values()].sort((p, q) => q.count - p.count);
  return most?.size ?? [1, 1];
}
