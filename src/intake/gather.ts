/** What is told of files, made short: each file once, and many alike in one line. */
import { groupBy } from '../shot/group-by.ts';
import type { OddFile } from './source.ts';

/** From this many on, files of one folder with one reason are one line. */
const fromMany = 7;

/** Names that stand in such a line; all of them are in `names`. */
const namedInLine = 3;

/**
 * Says nothing twice. Of a file that was refused nothing is said as of one that was taken. Many files of one
 * folder (or zip) that have the same reason become one line, in the place of the first.
 */
export function gatherOdd(odd: readonly OddFile[]): OddFile[] {
  const refused = new Set(odd.filter(({ taken }) => !taken).map(({ name }) => name));
  const once = new Map<string, OddFile>();
  for (const one of odd)
    if (!one.taken || !refused.has(one.name)) once.set(JSON.stringify([one.name, one.why]), one);
  const alike = groupBy([...once.values()], ({ name, why, todo, taken }) =>
    JSON.stringify([name.split('/')[0], why, todo, taken]),
  );
  return [...alike.values()].flatMap((group) => (group.length < fromMany ? group : [inOneLine(group)]));
}

function inOneLine(group: readonly OddFile[]): OddFile {
  const names = group.flatMap((one) => one.names ?? [one.name]);
  const [first] = group as readonly [OddFile];
  const some = names.slice(0, namedInLine).map((name) => name.split('/').at(-1));
  const folder = first.name.includes('/') ? `${first.name.split('/')[0]}: ` : '';
  return {
    name: `${folder}${names.length.toLocaleString('en')} files (${some.join(', ')}, …)`,
    why: first.why.startsWith('it ') ? first.why.replace(/^it /, 'each ') : `each: ${first.why}`,
    todo: first.todo.replace(/^It was/, 'They were').replace(/\bit\b/g, 'them'),
    taken: first.taken,
    names,
  };
}
