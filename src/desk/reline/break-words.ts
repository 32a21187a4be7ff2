/** What a change of weight breaks, in an artist's words. */
import type { Break } from '../../line/reweight/what-breaks.ts';

const words: Readonly<Record<Break['kind'], readonly [one: string, many: string]>> = {
  'line lost': ['line is lost', 'lines are lost'],
  'line parted': ['line is cut', 'lines are cut'],
  'gap closed': ['gap closes', 'gaps close'],
  'area filled': ['small area fills', 'small areas fill'],
};

export function breaksWords(breaks: readonly Break[]): string {
  return (Object.keys(words) as Break['kind'][])
    .flatMap((kind) => {
      const count = breaks.filter((one) => one.kind === kind).length;
      return count === 0 ? [] : [`${count} ${words[kind][count === 1 ? 0 : 1]}`];
    })
    .join(', ');
}
