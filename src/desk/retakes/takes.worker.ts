/** Compares two takes, and lays the older one under the newer: beside the page, one job at a time. */
import { inkOf } from '../../line/ink.ts';
import { layOn } from '../../line/lay-on.ts';
import { takeChange } from '../../line/redrawn.ts';
import type { Answered, Asked } from './messages.ts';

self.addEventListener('message', ({ data }: MessageEvent<Asked>) => {
  const { id } = data;
  try {
    if (data.kind === 'change') {
      const change = takeChange(inkOf(data.before), inkOf(data.after));
      self.postMessage({ id, change } satisfies Answered);
    } else {
      const [width, height] = data.sizePx;
      const picture = layOn(data.older, data.move, { width, height });
      self.postMessage({ id, picture } satisfies Answered, [picture.data.buffer as ArrayBuffer]);
    }
  } catch (error) {
    const failed = error instanceof Error ? error.message : String(error);
    self.postMessage({ id, failed } satisfies Answered);
  }
});
