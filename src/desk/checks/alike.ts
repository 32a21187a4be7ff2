/** Findings of one kind on one drawing stand together: of twelve specks one is looked at before the next. Pure. */
import type { DrawingRef } from '../../shot/drawing-ref.ts';

/** In the order given; a finding joins the first of its check on its drawing. */
export function alike<T extends { readonly finding: DrawingRef & { readonly check: string } }>(
  listed: readonly T[],
): T[][] {
  const groups = new Map<string, T[]>();
  for (const one of listed) {
    const { level, drawing, check } = one.finding;
    const key = JSON.stringify([level, drawing, check]);
    const group = groups.get(key);
    if (group) group.push(one);
    else groups.set(key, [one]);
  }
  return [...groups.values()];
}
