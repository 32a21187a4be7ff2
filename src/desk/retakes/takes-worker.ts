/** The page's hand on the worker: started when first asked, given up when it has rested. */
import type { Picture } from '../../line/picture.ts';
import type { TakeChange, TakeMove } from '../../line/redrawn.ts';
import type { Answered, Asked } from './messages.ts';

export interface TakesWorker {
  /** Pixels are handed over: a picture sent is gone from the page. Rejects with a sentence. */
  change(before: Picture, after: Picture): Promise<TakeChange>;
  lay(
    older: Picture,
    move: TakeMove | undefined,
    sizePx: readonly [width: number, height: number],
  ): Promise<Picture>;
}

/** `Omit` of each kind of a union. */
type Without<T, K extends string> = T extends unknown ? Omit<T, K> : never;

interface Waiting {
  resolve(answer: Answered): void;
  reject(error: Error): void;
}

/** A worker that rests for so long gives its memory back. */
const restMs = 10_000;

export function takesWorker(): TakesWorker {
  const waiting = new Map<number, Waiting>();
  let worker: Worker | undefined;
  let lastId = 0;
  let resting: ReturnType<typeof setTimeout> | undefined;

  const start = (): Worker => {
    const begun = new Worker(new URL('./takes.worker.ts', import.meta.url), {
      type: 'module',
      name: 'takes',
    });
    begun.addEventListener('message', ({ data }: MessageEvent<Answered>) => {
      const asked = waiting.get(data.id);
      waiting.delete(data.id);
      if (waiting.size === 0) resting = setTimeout(() => giveUp(''), restMs);
      if ('failed' in data) asked?.reject(new Error(data.failed));
      else asked?.resolve(data);
    });
    begun.addEventListener('error', (event) => {
      event.preventDefault();
      giveUp(`Comparing takes stopped${event.message ? `: ${event.message}` : '.'}`);
    });
    return begun;
  };
  const giveUp = (reason: string): void => {
    worker?.terminate();
    worker = undefined;
    for (const asked of waiting.values()) asked.reject(new Error(reason));
    waiting.clear();
  };
  const ask = (asked: Without<Asked, 'id'>, pictures: readonly Picture[]): Promise<Answered> =>
    new Promise((resolve, reject) => {
      const id = ++lastId;
      clearTimeout(resting);
      waiting.set(id, { resolve, reject });
      worker ??= start();
      worker.postMessage({ ...asked, id }, [
        ...new Set(pictures.map(({ data }) => data.buffer as ArrayBuffer)),
      ]);
    });

  return {
    async change(before, after) {
      const answer = await ask({ kind: 'change', before, after }, [before, after]);
      if (!('change' in answer)) throw new Error('The worker answered something else.');
      return answer.change;
    },
    async lay(older, move, sizePx) {
      const answer = await ask({ kind: 'lay', older, move, sizePx }, [older]);
      if (!('picture' in answer)) throw new Error('The worker answered something else.');
      return answer.picture;
    },
  };
}
