/** The shots on offer, in short: the rest of them comes with their entries. */
import type { OfferedShot } from '../../wire/shots.ts';
import { type Route, sendJson } from '../exchange.ts';
import type { ApiNeeds } from './needs.ts';

export function shotRoutes({ shots, lacking }: ApiNeeds): Route[] {
  return [
    {
      method: 'GET',
      path: '/api/shots',
      async handle({ response }) {
        const [offered, told] = await Promise.all([shots.offered(), lacking.told()]);
        const listed: OfferedShot[] = offered.map((shot) => ({
          ...shot,
          lacking: [...(told.get(shot.id) ?? [])],
        }));
        sendJson(response, 200, { shots: listed });
      },
    },
  ];
}
