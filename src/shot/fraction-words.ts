/** A chart's fraction as it is written and said: halves, thirds and quarters (common practice, no source). */

const usual = [
  [1 / 4, '¼', 'a quarter'],
  [1 / 3, '⅓', 'a third'],
  [1 / 2, '½', 'a half'],
  [2 / 3, '⅔', 'two thirds'],
  [3 / 4, '¾', 'three quarters'],
] as const;

/** What is usual, as signs with their values. */
export const usualFractions: readonly (readonly [sign: string, value: number])[] = usual.map(
  ([value, sign]) => [sign, value],
);

export const isFraction = (value: number, of: number): boolean => Math.abs(of - value) < 0.005;

const known = (value: number) => usual.find(([of]) => isFraction(value, of));

/** “a half”, “a third”; else two decimals. */
export function fractionWords(value: number): string {
  return known(value)?.[2] ?? value.toFixed(2);
}

/** “½”, “⅓”; else per cent. */
export function fractionSign(value: number): string {
  return known(value)?.[1] ?? `${Math.round(value * 100)} %`;
}
