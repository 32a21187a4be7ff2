/** Whether two JSON texts say the same entry: also when one of them was written with other spaces. */
export const sameEntry = (a: string, b: string): boolean =>
  a === b || JSON.stringify(JSON.parse(a)) === JSON.stringify(JSON.parse(b));
