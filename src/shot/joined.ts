/**
 * `list` with the things of `other` that it lacks, at the end; what both have goes through `join`. `list` itself
 * when that changes nothing.
 */
export function joined<T>(
  list: readonly T[],
  other: readonly T[],
  nameOf: (one: T) => string,
  join: (one: T, twin: T) => T,
): readonly T[] {
  const twins = new Map(other.map((one) => [nameOf(one), one]));
  const names = new Set(list.map(nameOf));
  const both = list.map((one) => {
    const twin = twins.get(nameOf(one));
    return twin ? join(one, twin) : one;
  });
  const added = other.filter((one) => !names.has(nameOf(one)));
  const same = added.length === 0 && both.every((one, n) => one === list[n]);
  return same ? list : [...both, ...added];
}
