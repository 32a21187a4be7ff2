/** Sound entries and shots of every kind, made up. */
import * as fc from 'fast-check';

const short = fc.string({ maxLength: 12 });
const label = fc.constantFrom('1', '2', '3', '12A');
const level = fc.constantFrom('', 'A');
const idOf = fc.constantFrom('e1', 'e2', 'e3', 'e4', 'e5');
const sha = fc.constantFrom('a'.repeat(64), 'b'.repeat(64));
const frame = fc.integer({ min: 1, max: 200 });
const point = fc.tuple(fc.nat(1900), fc.nat(1000)).map((pair) => [...pair]);

const body = fc.oneof(
  fc.record({
    kind: fc.constant('pin'),
    level,
    drawing: label,
    drawings: fc.array(label, { minLength: 1, maxLength: 3 }),
    image: sha,
    sizePx: fc.constant([1920, 1080]),
    at: point,
    strokes: fc.array(
      fc.record({
        colour: fc.constantFrom('red', 'blue', 'green', 'black'),
        widthPx: fc.integer({ min: 1, max: 40 }),
        points: fc.array(fc.nat(1000), { maxLength: 4 }).map((xs) => xs.flatMap((x) => [x, x + 1, 0.5])),
      }),
      { maxLength: 2 },
    ),
    about: fc.constantFrom('line', 'volume', 'other'),
    text: short,
  }),
  fc.record({ kind: fc.constant('reply'), to: idOf, text: short }),
  fc.record({ kind: fc.constant('edit'), to: idOf, text: short }),
  fc.record({
    kind: fc.constant('state'),
    to: idOf,
    state: fc.constantFrom('open', 'fixed', 'approved', 'reopened'),
  }),
  fc.record({ kind: fc.constant('withdraw'), to: idOf }),
  fc.record({
    kind: fc.constant('role'),
    level,
    drawing: label,
    role: fc.constantFrom('key', 'breakdown', null),
  }),
  fc.record({
    kind: fc.constant('exposure'),
    level,
    drawing: label,
    exposures: fc.array(fc.record({ frame, length: fc.integer({ min: 1, max: 8 }) }), { maxLength: 3 }),
  }),
  fc.record({
    kind: fc.constant('drawing state'),
    level,
    drawing: label,
    state: fc.constantFrom('rough', 'in clean-up', 'clean', 'approved'),
  }),
  fc.record({ kind: fc.constant('tolerance'), name: fc.constant('drift'), value: fc.constantFrom(null, 3) }),
);

export const anyEntry: fc.Arbitrary<unknown> = fc.record({
  v: fc.constant(1),
  id: idOf,
  shot: fc.constant('shot-1'),
  writer: fc.constantFrom(
    { id: 'p-ana', name: 'Ana', role: 'artist' },
    { id: 'p-dov', name: 'Dov', role: 'director' },
    { id: 'p-ines', name: 'Inès', role: 'assistant' },
  ),
  stamp: fc.record({ wallMs: fc.nat(10_000), counter: fc.nat(3) }),
  body,
});

const image = (width: number) =>
  fc.record({
    sha256: sha,
    width: fc.constant(width),
    height: fc.constant(30),
    mediaType: fc.constant('image/png'),
    byteLength: fc.constant(5000),
  });

export const anyShot: fc.Arbitrary<unknown> = fc.record({
  id: fc.constant('shot-1'),
  title: short,
  fps: fc.constantFrom(24, 25, 23.976),
  sizePx: fc.constant([40, 30]),
  levels: fc.array(
    fc.record({
      name: level,
      drawings: fc.uniqueArray(
        fc.record({
          label,
          rough: image(40),
          takes: fc
            .array(image(40), { maxLength: 2 })
            .map((all) => all.map((one, n) => ({ number: n + 1, image: one }))),
        }),
        { selector: (drawing) => drawing.label, maxLength: 3 },
      ),
      exposures: fc.array(fc.record({ drawing: label, frame, length: fc.integer({ min: 1, max: 4 }) }), {
        maxLength: 4,
      }),
    }),
    { maxLength: 2 },
  ),
});
