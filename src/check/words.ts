/** Numbers as an artist reads them. */
export function percent(share: number): string {
  return `${Math.round(Math.abs(share) * 100)} %`;
}

export function px(value: number): string {
  return `${value < 3 ? value.toFixed(1) : Math.round(value)} px`;
}

export function count(n: number, one: string, many = `${one}s`): string {
  return n === 1 ? `one ${one}` : `${n} ${many}`;
}

/** A chart's fraction in the trade's words where it has one: "a half", "a third"; else two decimals. */
export function fraction(value: number): string {
  const known: [number, string][] = [
    [1 / 2, 'a half'],
    [1 / 3, 'a third'],
    [2 / 3, 'two thirds'],
    [1 / 4, 'a quarter'],
    [3 / 4, 'three quarters'],
  ];
  return known.find(([of]) => Math.abs(of - value) < 0.005)?.[1] ?? value.toFixed(2);
}
