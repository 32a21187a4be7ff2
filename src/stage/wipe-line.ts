/** The line of a wipe, with a grip to take hold of. Dragging it is in `hands.ts`; keys are the desk's. */
import type { Point } from './camera.ts';
import type { Compare } from './types.ts';

export interface WipeLine {
  place(compare: Compare, sizePx: Point): void;
}

export function createWipeLine(element: HTMLElement): WipeLine {
  const line = document.createElement('div');
  line.setAttribute('aria-hidden', 'true');
  line.style.cssText =
    'position:absolute;top:0;bottom:0;left:-1px;width:2px;background:var(--text,#141414);pointer-events:none;display:none';
  const grip = document.createElement('div');
  grip.style.cssText =
    'position:absolute;top:50%;left:-11px;width:24px;height:44px;margin-top:-22px;border-radius:6px;box-sizing:border-box;background:var(--edge-strong,#bcbcbc);border:2px solid var(--text,#141414)';
  line.append(grip);
  element.append(line);
  return {
    place(compare, sizePx) {
      line.style.display = compare.way === 'wipe' ? 'block' : 'none';
      if (compare.way === 'wipe') line.style.transform = `translateX(${compare.at * sizePx[0]}px)`;
    },
  };
}
