/** Which screen the address asks for. Hash routes, so that any folder of any static host will do. */
import { type ReadonlySignal, signal } from '@preact/signals';

export type Route =
  | { readonly at: 'shelf' }
  | { readonly at: 'today' }
  | { readonly at: 'shot'; readonly id: string }
  /** With the code of a link that was scanned (`#/join/CODE`), else an empty one. */
  | { readonly at: 'studio'; readonly code: string };

export function routeOf(hash: string): Route {
  if (hash === '#/today') return { at: 'today' };
  const [, place, rest = ''] = /^#\/(shot|join|studio)(?:\/(.+))?$/.exec(hash) ?? [];
  try {
    const named = decodeURIComponent(rest);
    if (place === 'shot' && named !== '') return { at: 'shot', id: named };
    if (place === 'studio' || place === 'join') return { at: 'studio', code: named };
  } catch {
    // A link that was cut in the middle of a sign.
  }
  return { at: 'shelf' };
}

export const hrefOf = (shotId: string): string => `#/shot/${encodeURIComponent(shotId)}`;

const current = signal<Route>(routeOf(location.hash));
addEventListener('hashchange', () => {
  current.value = routeOf(location.hash);
});

export const route: ReadonlySignal<Route> = current;
