/** What tablets ask of the studio server. Described for others in `../README.md`. */
import type { Route } from '../exchange.ts';
import { entryRoutes } from './entries.ts';
import { imageRoutes } from './images.ts';
import type { ApiNeeds } from './needs.ts';
import { passRoutes, personRoutes } from './people.ts';
import { shotRoutes } from './shots.ts';

export function apiRoutes(needs: ApiNeeds): Route[] {
  return [personRoutes, passRoutes, shotRoutes, imageRoutes, entryRoutes].flatMap((routes) => routes(needs));
}
