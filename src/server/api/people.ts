/** Who is asking, joining, listening; passes given and taken by the owner. */
import { randomUUID } from 'node:crypto';
import type { Person } from '../../note/entry.ts';
import { joinSchema, type Me, wantedPassSchema } from '../../wire/people.ts';
import { wireVersion } from '../../wire/version.ts';
import { type Route, readJson, sendJson } from '../exchange.ts';
import { makePass, passCookie, readCookie } from '../passes.ts';
import { Refusal } from '../refusal.ts';
import type { Pass } from '../store/types.ts';
import { type ApiNeeds, valid } from './needs.ts';

export function personOf(pass: Pass): Person {
  return { id: pass.personId ?? pass.id, name: pass.name, role: pass.role };
}

export function personRoutes({
  server,
  gate,
  live,
  open,
  needsPass,
  secure,
  limits,
  now,
}: ApiNeeds): Route[] {
  const me = (pass: Pass | undefined): Me => ({
    server,
    needsPass,
    person: pass ? personOf(pass) : null,
    owner: pass?.owner ?? false,
    limits: { bodyBytes: limits.bodyBytes, entriesPerBatch: limits.entriesPerBatch },
    version: wireVersion,
  });
  return [
    {
      method: 'GET',
      path: '/api/me',
      open: true,
      handle({ request, response, pass }) {
        const token = pass && readCookie(request.headers.cookie, secure);
        // Each visit renews the cookie, so that a tablet in use never has to join again.
        sendJson(response, 200, me(pass), token ? { 'set-cookie': passCookie(token, secure) } : {});
      },
    },
    {
      method: 'POST',
      path: '/api/join',
      open: true,
      async handle({ request, response, address }) {
        const { code, person } = valid(joinSchema, await readJson(request, 10_000));
        const { pass, token } = await gate.join(code, person ?? randomUUID(), address, now());
        sendJson(response, 200, me(pass), { 'set-cookie': passCookie(token, secure) });
      },
    },
    {
      method: 'GET',
      path: '/api/live',
      handle({ request, response }) {
        if (request.method === 'HEAD') {
          response.end();
          return;
        }
        open.becomeStream(response);
        live.open(response);
      },
    },
  ];
}

export function passRoutes({ store, open, urls, now }: ApiNeeds): Route[] {
  const ownerOnly =
    (handle: Route['handle']): Route['handle'] =>
    (exchange) => {
      if (exchange.pass?.owner) return handle(exchange);
      throw new Refusal(403, 'owner', 'Only the owner of this studio server gives and takes passes.');
    };
  return [
    {
      method: 'GET',
      path: '/api/passes',
      handle: ownerOnly(async ({ response }) => sendJson(response, 200, { passes: await store.passes() })),
    },
    {
      method: 'POST',
      path: '/api/passes',
      handle: ownerOnly(async ({ request, response }) => {
        const { personId, ...pass } = valid(wantedPassSchema, await readJson(request, 10_000));
        const known = (await store.passes()).find((other) => other.personId === personId);
        if (personId !== undefined && !known) throw new Refusal(404, 'missing', 'Nobody here has this id.');
        const made = await makePass(
          store,
          known ? { ...pass, name: known.name, role: known.role, personId } : pass,
          now(),
        );
        sendJson(response, 201, { ...made, urls: urls() });
      }),
    },
    {
      method: 'DELETE',
      path: '/api/passes/:id',
      handle: ownerOnly(async ({ response, params }) => {
        const id = params.id ?? '';
        if (!(await store.revokePass(id, now())))
          throw new Refusal(404, 'missing', 'There is no such pass, or it was revoked already.');
        open.endUnless((passId) => passId !== id);
        response.writeHead(204).end();
      }),
    },
  ];
}
