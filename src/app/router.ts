/** Which screen the address asks for. Hash routes, so that any folder of any static host will do. */
import { type ReadonlySignal, signal } from '@preact/signals';

export type Route = { readonly at: 'shelf' } | { readonly at: 'shot'; readonly id: string };

export function routeOf(hash: string): Route {
  const shot = /^#\/shot\/(.+)$/.exec(hash)?.[1];
  if (shot === undefined) return { at: 'shelf' };
  try {
    return { at: 'shot', id: decodeURIComponent(shot) };
  } catch {
    return { at: 'shelf' };
  }
}

export const hrefOf = (shotId: string): string => `#/shot/${encodeURIComponent(shotId)}`;

const current = signal<Route>(routeOf(location.hash));
addEventListener('hashchange', () => {
  current.value = routeOf(location.hash);
});

export const route: ReadonlySignal<Route> = current;
