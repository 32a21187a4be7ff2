/** Entries: judged, stored, and fetched from a place in the order of arrival on. */
import { pageChars, pageQuerySchema } from '../../wire/entries.ts';
import { type Route, readJsonLines, sendJson, sendJsonText } from '../exchange.ts';
import { Refusal } from '../refusal.ts';
import { judge } from './judge.ts';
import { type ApiNeeds, valid } from './needs.ts';

export function entryRoutes({
  store,
  seal,
  images,
  lacking,
  limits,
  watch,
  needsPass,
  now,
}: ApiNeeds): Route[] {
  return [
    {
      method: 'GET',
      path: '/api/entries',
      async handle({ response, url }) {
        const { shot, after, limit } = valid(pageQuerySchema, Object.fromEntries(url.searchParams));
        const found = await store.after(shot, after, limit, pageChars);
        const cursor = found.at(-1)?.seq ?? after;
        // Asked after the page: what is committed between the two is told as more, never missed.
        const last = await store.last(shot);
        const page = {
          seals: found.map(({ json }) => seal.over(JSON.parse(json))),
          cursor,
          more: cursor < last,
          at: (await store.idAt(shot, after)) ?? null,
        };
        // Each text goes out word for word.
        const texts = found.map(({ json }) => json).join(',');
        sendJsonText(response, 200, `{"entries":[${texts}],${JSON.stringify(page).slice(1)}`);
      },
    },
    {
      method: 'POST',
      path: '/api/entries',
      async handle({ request, response, pass }) {
        const sent = await readJsonLines(request, limits.bodyBytes);
        if (sent.length > limits.entriesPerBatch) {
          throw new Refusal(
            413,
            'too many',
            `Send at most ${limits.entriesPerBatch} entries at once; nothing of it was stored.`,
          );
        }
        const asked = { pass, needsPass, nowMs: now() };
        const { accepted, refused, unseen } = await judge(sent, asked, { store, seal, images });
        const added = await store.add(accepted, pass?.id);
        for (const sha256 of unseen) lacking.missed(sha256);
        for (const { id, result } of added) {
          if (result === 'clash')
            refused.push({ id, code: 'clash', reason: 'Another entry has this id already.' });
        }
        for (const { result } of added) if (result !== 'clash') watch.entry(result);
        for (const { code } of refused) watch.entry(code);
        const held = added.filter(({ result }) => result !== 'clash').map(({ id }) => id);
        sendJson(response, 200, { accepted: held, refused });
      },
    },
  ];
}
