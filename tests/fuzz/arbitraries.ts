/** Input that is nearly right: whole files and values with a few things changed, since pure noise stops at the first check. */
import * as fc from 'fast-check';

/** Values that programs trip over. */
export const nasty: fc.Arbitrary<unknown> = fc.oneof(
  fc.constantFrom<unknown>(
    null,
    true,
    '',
    0,
    -0,
    -1,
    0.5,
    1e15,
    2 ** 31,
    2 ** 32,
    2 ** 53,
    -(2 ** 53),
    1e308,
    5e-324,
    '\0',
    '\ud800',
    '__proto__',
    'constructor',
    'toString',
    '../..',
    'NaN',
    '9'.repeat(400),
    'é'.repeat(300),
    [],
    {},
    [[]],
    [null],
  ),
  fc.string({ maxLength: 20, unit: 'binary' }),
  fc.double(),
  fc.jsonValue({ maxDepth: 2 }),
);

type Path = readonly (string | number)[];

function pathsOf(value: unknown, at: Path = []): Path[] {
  if (typeof value !== 'object' || value === null) return [at];
  const keys = Array.isArray(value) ? value.keys() : Object.keys(value);
  return [at, ...[...keys].flatMap((key) => pathsOf((value as never)[key], [...at, key]))];
}

/** A copy with the value at `path` replaced, or taken away. */
function changed(value: unknown, path: Path, change: Change): unknown {
  const [key, ...rest] = path;
  if (key === undefined) return change === 'gone' ? undefined : change.value;
  const copy = Array.isArray(value) ? [...value] : { ...(value as object) };
  if (rest.length === 0 && change === 'gone') {
    if (Array.isArray(copy)) copy.splice(Number(key), 1);
    else delete copy[key as keyof typeof copy];
    return copy;
  }
  const record = copy as Record<string | number, unknown>;
  record[key] = changed(record[key], rest, change);
  return copy;
}

type Change = 'gone' | { readonly value: unknown };

/** `whole` with up to three of its parts gone or replaced, or with further fields. */
export function nearly(whole: fc.Arbitrary<unknown>): fc.Arbitrary<unknown> {
  const change: fc.Arbitrary<Change> = fc.oneof(
    { weight: 1, arbitrary: fc.constant<Change>('gone') },
    { weight: 4, arbitrary: nasty.map((value) => ({ value })) },
  );
  const changes = fc.array(fc.tuple(fc.nat(), change), { maxLength: 3 });
  return fc.tuple(whole, changes).map(([value, list]) =>
    list.reduce<unknown>((now, [at, change]) => {
      const paths = pathsOf(now);
      return changed(now, paths[at % paths.length] ?? [], change);
    }, value),
  );
}

type Edit = readonly [kind: 'flip' | 'cut' | 'drop' | 'add' | 'set32', at: number, bytes: Uint8Array];

/** `whole` with a few bytes changed, missing or too many, or cut short. */
export function nearlyFile(...whole: Uint8Array[]): fc.Arbitrary<Uint8Array> {
  const edit: fc.Arbitrary<Edit> = fc.tuple(
    fc.constantFrom('flip', 'flip', 'cut', 'drop', 'add', 'set32'),
    // Heads matter most.
    fc.oneof(fc.nat({ max: 80 }), fc.nat({ max: 100_000 })),
    fc.uint8Array({ minLength: 1, maxLength: 6 }),
  );
  return fc
    .tuple(fc.constantFrom(...whole), fc.array(edit, { maxLength: 5 }))
    .map(([file, edits]) => edits.reduce(edited, new Uint8Array(file)));
}

function edited(file: Uint8Array, [kind, place, bytes]: Edit): Uint8Array {
  if (file.length === 0) return bytes;
  const at = place % file.length;
  const [before, after] = [file.subarray(0, at), file.subarray(at)];
  switch (kind) {
    case 'flip': {
      const copy = file.slice();
      copy[at] = (copy[at] ?? 0) ^ ((bytes[0] ?? 1) || 1);
      return copy;
    }
    case 'cut':
      return before.slice();
    case 'drop':
      return joined(before, after.subarray(bytes.length));
    case 'add':
      return joined(before, bytes, after);
    case 'set32': {
      const copy = file.slice();
      const extreme = [0, 1, 0x7f_ff_ff_ff, 0x80_00_00_00, 0xff_ff_ff_ff][(bytes[0] ?? 0) % 5] ?? 0;
      if (at + 4 <= copy.length) new DataView(copy.buffer).setUint32(at, extreme, (bytes[0] ?? 0) > 127);
      return copy;
    }
  }
}

function joined(...parts: readonly Uint8Array[]): Uint8Array {
  return new Uint8Array(Buffer.concat(parts));
}
