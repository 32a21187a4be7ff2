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
