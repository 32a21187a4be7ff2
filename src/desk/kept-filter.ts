/** What a list of the desk shows comes back with the desk: whoever chose drawings by one person still has them. */
import { effect, type Signal, signal } from '@preact/signals';
import * as v from 'valibot';
import type { Session } from './session.ts';

/** `list` names it among the lists of the desk. What cannot be read any more shows `all`. */
export function keptFilter<T>(
  { lists }: Pick<Session, 'lists'>,
  list: string,
  schema: v.GenericSchema<unknown, T>,
  all: T,
): Signal<T> {
  const read = v.safeParse(schema, lists.peek()[list]);
  const filter = signal<T>(read.success ? read.output : all);
  let kept = filter.peek();
  effect(() => {
    if (filter.value === kept) return;
    kept = filter.value;
    lists.value = { ...lists.peek(), [list]: kept };
  });
  return filter;
}
