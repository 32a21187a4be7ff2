/** How large the system's text is: everything is sized by it, drawn numbers too. */
import { type ReadonlySignal, signal } from '@preact/signals';

/** CSS px of a `rem` at the usual text size. */
const usualPx = 16;
/** From here on the head's words and the panels' buttons have no room in one row of a tablet. */
const largeFrom = 1.25;
const scale = signal(1);

/** 1 at the usual text size, 2 at twice that. */
export const textScale: ReadonlySignal<number> = scale;

/** Follows the system's text size until the returned function is called. */
export function watchTextSize(page: Document): () => void {
  const probe = page.createElement('div');
  probe.style.cssText = 'position:absolute;width:1rem;height:0;visibility:hidden';
  probe.setAttribute('aria-hidden', 'true');
  page.body.append(probe);
  const watcher = new ResizeObserver(() => {
    scale.value = Math.max(0.5, probe.getBoundingClientRect().width / usualPx);
    // Where rows must be laid out otherwise: a media query knows the browser's setting, not that of a page.
    page.documentElement.dataset['text'] = scale.peek() >= largeFrom ? 'large' : 'usual';
  });
  watcher.observe(probe);
  return () => {
    watcher.disconnect();
    probe.remove();
  };
}
