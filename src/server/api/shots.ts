/** The shots on offer, in short: the rest of them comes with their entries. */
import { type Route, sendJson } from '../exchange.ts';
import { shotsIn } from '../shots.ts';
import type { ApiNeeds } from './needs.ts';

export function shotRoutes({ store }: ApiNeeds): Route[] {
  const shots = shotsIn(store);
  return [
    {
      method: 'GET',
      path: '/api/shots',
      handle: async ({ response }) => sendJson(response, 200, { shots: await shots.offered() }),
    },
  ];
}
