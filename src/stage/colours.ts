/** The stage's colours, from the CSS variables of the look, kept up to date when it goes dark or light. */
import type { Rgb, Scene } from './painter.ts';

export type Colours = Pick<Scene, 'paper' | 'surround' | 'cleanOnly' | 'roughOnly'>;

/** What is used where the page sets no variable: white paper on a neutral mid grey. */
const plain: Colours = {
  paper: [1, 1, 1],
  surround: [0.557, 0.557, 0.557],
  cleanOnly: [0.08, 0.08, 0.08],
  roughOnly: [0.64, 0.17, 0],
};

export function readColours(element: HTMLElement): Colours {
  const probe = document.createElement('span');
  probe.hidden = true;
  element.append(probe);
  const read = (name: string, otherwise: Rgb): Rgb => {
    probe.style.color = '';
    probe.style.color = `var(${name}, rgb(${otherwise.map((part) => part * 255).join(' ')}))`;
    // Computed colours of sRGB values come as `rgb(r, g, b)`.
    const [r, g, b] = (getComputedStyle(probe).color.match(/[\d.]+/g) ?? []).map(
      (part) => Number(part) / 255,
    );
    return r === undefined || g === undefined || b === undefined ? otherwise : [r, g, b];
  };
  const colours = { paper: read('--paper', plain.paper), surround: read('--surround', plain.surround) };
  probe.remove();
  return { ...plain, ...colours };
}

export function onColoursChange(changed: () => void): () => void {
  const watcher = new MutationObserver(changed);
  watcher.observe(document.documentElement, {
    attributes: true,
    attributeFilter: ['class', 'style', 'data-light'],
  });
  const dark = matchMedia('(prefers-color-scheme: dark)');
  dark.addEventListener('change', changed);
  return () => {
    watcher.disconnect();
    dark.removeEventListener('change', changed);
  };
}
