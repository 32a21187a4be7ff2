/** Shots: listed, fetched, put up by a tablet. */

import { checkShot } from '../../shot/check-shot.ts';
import { imagesOf } from '../../shot/images-of.ts';
import type { Shot } from '../../shot/model.ts';
import { type Route, readJson, sendJson } from '../exchange.ts';
import { Refusal } from '../refusal.ts';
import type { KeptShot } from '../store/types.ts';
import type { ApiNeeds } from './needs.ts';

export function shotRoutes({ store, images, live, limits }: ApiNeeds): Route[] {
  return [
    {
      method: 'GET',
      path: '/api/shots',
      handle({ response }) {
        const shots = store.shots().map((kept) => summary(kept, store.last(kept.shot.id)));
        sendJson(response, 200, { shots });
      },
    },
    {
      method: 'GET',
      path: '/api/shots/:id',
      handle({ request, response, params }) {
        const kept = store.shot(params.id ?? '');
        if (!kept) throw new Refusal(404, 'missing', 'This shot is not on the studio server.');
        const etag = `"${kept.version}"`;
        if (request.headers['if-none-match'] === etag) response.writeHead(304, { etag }).end();
        else sendJson(response, 200, kept.shot, { etag, 'cache-control': 'private, no-cache' });
      },
    },
    {
      method: 'PUT',
      path: '/api/shots/:id',
      async handle({ request, response, params }) {
        const shot = readShot(await readJson(request, limits.bodyBytes), params.id ?? '');
        const before = store.shot(shot.id);
        if (before?.folder !== undefined) {
          throw new Refusal(
            409,
            'folder',
            'This shot lies in the server’s shots folder; put its new drawings there.',
          );
        }
        const missing: string[] = [];
        for (const { sha256 } of imagesOf(shot)) if (!(await images.has(sha256))) missing.push(sha256);
        if (missing.length > 0) {
          sendJson(response, 409, {
            code: 'images',
            reason: `${missing.length} pictures must be sent first.`,
            missing,
          });
          return;
        }
        // Looked at now, since pictures were looked for meanwhile; RFC 9110, 13.1.1 and 13.1.2.
        const now = store.shot(shot.id);
        const { 'if-match': only, 'if-none-match': none } = request.headers;
        if ((only !== undefined && only !== (now && `"${now.version}"`)) || (none === '*' && now)) {
          throw new Refusal(
            412,
            'changed',
            'The shot was changed at the studio meanwhile; nothing was replaced. Put it up once more.',
          );
        }
        const { version } = store.keepShot(shot, undefined);
        if (version !== before?.version) live.tell({ kind: 'shots' });
        sendJson(response, before ? 200 : 201, { version });
      },
    },
  ];
}

function summary({ shot, version, folder }: KeptShot, last: number) {
  const drawings = shot.levels.flatMap((level) => level.drawings);
  return {
    id: shot.id,
    title: shot.title,
    version,
    last,
    drawings: drawings.length,
    clean: drawings.filter((drawing) => drawing.takes.length > 0).length,
    inFolder: folder !== undefined,
    byteLength: imagesOf(shot).reduce((sum, { byteLength }) => sum + byteLength, 0),
  };
}

function readShot(value: unknown, id: string): Shot {
  const checked = checkShot(value);
  if (!checked.ok) throw new Refusal(422, 'shot', checked.faults[0] ?? 'This is no shot.');
  if (checked.shot.id !== id) throw new Refusal(422, 'shot', 'The shot’s id is not the one in the address.');
  return checked.shot;
}
