/** What has to be said so that a shot becomes another: the opposite of `shot-of.ts`. */
import type { Drawing, Extra, Level, Shot } from '../shot/model.ts';
import type { Body } from './entry.ts';

/**
 * Bodies that make `after` of `before`, or of nothing. Nothing is taken away: a drawing, take or rough that only
 * `before` has stays, since notes may speak of it. What `after` guesses is not said.
 */
export function shotBodies(after: Shot, before?: Shot): Body[] {
  const facts = {
    ...(after.title !== before?.title && { title: after.title }),
    ...(!after.fpsGuessed && (before?.fpsGuessed || after.fps !== before?.fps) && { fps: after.fps }),
    ...extraOf(after, before),
  };
  const names = after.levels.map(({ name }) => name);
  const isOrdered =
    names.length < 2 ||
    same(
      names,
      before?.levels.map(({ name }) => name),
    );
  return [
    ...(Object.keys(facts).length > 0 ? [{ kind: 'shot' as const, ...facts }] : []),
    ...(isOrdered ? [] : [{ kind: 'levels' as const, order: names }]),
    ...after.levels.flatMap((level) =>
      levelBodies(
        level,
        before?.levels.find(({ name }) => name === level.name),
      ),
    ),
  ];
}

function levelBodies(after: Level, before: Level | undefined): Body[] {
  const { name: level } = after;
  const hasSheet = !after.exposuresGuessed && (!before || before.exposuresGuessed);
  const facts = { ...(hasSheet && { sheet: true }), ...extraOf(after, before) };
  const isEmpty = !before && after.drawings.length === 0;
  const known = new Map(before?.drawings.map((drawing) => [drawing.label, drawing]));
  return [
    ...(isEmpty || Object.keys(facts).length > 0 ? [{ kind: 'level' as const, level, ...facts }] : []),
    ...after.drawings.flatMap((drawing) => drawingBodies(level, drawing, known.get(drawing.label))),
    ...(after.exposuresGuessed ? [] : exposureBodies(after, hasSheet ? undefined : before)),
  ];
}

function drawingBodies(level: string, after: Drawing, before: Drawing | undefined): Body[] {
  const { label: drawing, rough, role, chart, runsOn } = after;
  const at = { level, drawing };
  const extra = extraOf(after, before);
  const saysRunsOn = runsOn === true && !before?.runsOn;
  const isBare = !before && !rough && after.takes.length === 0;
  const seen = new Set(before?.takes.map(({ image }) => image.sha256));
  const takes = after.takes.slice(before?.takes.length ?? 0).map(({ image }): Body => {
    const again = seen.has(image.sha256);
    seen.add(image.sha256);
    return { kind: 'take', ...at, image, ...(again && { again }) };
  });
  return [
    ...(isBare || extra || saysRunsOn
      ? [{ kind: 'drawing' as const, ...at, ...extra, ...(saysRunsOn && { runsOn: true }) }]
      : []),
    ...(rough && rough.sha256 !== before?.rough?.sha256
      ? [{ kind: 'rough' as const, ...at, image: rough }]
      : []),
    ...takes,
    ...(role && role !== before?.role ? [{ kind: 'role' as const, ...at, role }] : []),
    ...(chart && !same(chart, before?.chart) ? [{ kind: 'chart' as const, ...at, chart }] : []),
  ];
}

function exposureBodies(after: Level, before: Level | undefined): Body[] {
  const of = (level: Level | undefined, label: string): { frame: number; length: number }[] =>
    (level?.exposures ?? [])
      .filter(({ drawing }) => drawing === label)
      .map(({ frame, length }) => ({ frame, length }));
  return after.drawings.flatMap(({ label }): Body[] => {
    const exposures = of(after, label);
    if (same(exposures, of(before, label))) return [];
    return [{ kind: 'exposure', level: after.name, drawing: label, exposures }];
  });
}

function extraOf(
  after: { extra?: Extra },
  before: { extra?: Extra } | undefined,
): { extra: Extra } | undefined {
  return after.extra && !same(after.extra, before?.extra) ? { extra: after.extra } : undefined;
}

function same(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}
