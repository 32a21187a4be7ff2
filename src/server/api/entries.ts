/** Entries: judged, stored, and fetched from a place in the order of arrival on. */
import type { Entry } from '../../note/entry.ts';
import { may } from '../../note/may.ts';
import { isKnown, parseEntry } from '../../note/parse.ts';
import { pageQuerySchema, type RefusedCode } from '../../wire/entries.ts';
import { type Route, readJsonLines, sendJson, sendJsonText } from '../exchange.ts';
import { Refusal } from '../refusal.ts';
import type { Pass, StudioStore, Written } from '../store/types.ts';
import { type ApiNeeds, valid } from './needs.ts';
import { personOf } from './people.ts';

interface RefusedEntry {
  readonly id: string | undefined;
  readonly code: RefusedCode;
  readonly reason: string;
}

export function entryRoutes({ store, live, limits, needsPass }: ApiNeeds): Route[] {
  return [
    {
      method: 'GET',
      path: '/api/entries',
      handle({ response, url }) {
        const { shot, after, limit } = valid(pageQuerySchema, Object.fromEntries(url.searchParams));
        const found = store.after(shot, after, limit);
        const cursor = found.at(-1)?.seq ?? after;
        const more = found.length === limit;
        const texts = found.map(({ json }) => json).join(',');
        sendJsonText(response, 200, `{"entries":[${texts}],"cursor":${cursor},"more":${more}}`);
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
        const { accepted, refused } = judge(sent, store, pass, needsPass);
        const added = await store.add(accepted, pass?.id);
        for (const { id, result } of added) {
          if (result === 'clash')
            refused.push({ id, code: 'clash', reason: 'Another entry has this id already.' });
        }
        const stored = accepted.filter((_, n) => added[n]?.result === 'stored');
        const shots = new Set(stored.map(({ entry }) => entry.shot));
        for (const shot of shots) live.tell({ kind: 'entries', shot, last: store.last(shot) });
        const held = added.filter(({ result }) => result !== 'clash').map(({ id }) => id);
        sendJson(response, 200, { accepted: held, refused });
      },
    },
  ];
}

/** Which entries may be stored. What was stored before is not judged again: sending twice is no fault. */
function judge(
  sent: readonly { readonly value: unknown; readonly json: string }[],
  store: StudioStore,
  pass: Pass | undefined,
  needsPass: boolean,
): { accepted: Written[]; refused: RefusedEntry[] } {
  const accepted: Written[] = [];
  const refused: RefusedEntry[] = [];
  const parsed = sent.map(({ value, json }) => ({ ...parseEntry(value), json }));
  const entries = parsed.flatMap((result) => (result.ok ? [result.entry] : []));
  const known = store.find(entries.flatMap((entry) => [entry.id, ...targetOf(entry)]));
  const together = new Map(entries.map((entry) => [entry.id, entry]));
  const find = (id: string): Entry | undefined => known.get(id) ?? together.get(id);
  for (const result of parsed) {
    if (!result.ok) {
      refused.push({ id: result.id, code: 'form', reason: result.reason });
      continue;
    }
    const { entry, json } = result;
    const fault = known.has(entry.id) ? undefined : faultOf(entry, pass, needsPass, find);
    if (fault) refused.push({ id: entry.id, ...fault });
    else accepted.push({ entry, json });
  }
  return { accepted, refused };
}

function targetOf({ body }: Entry): string[] {
  return 'to' in body && typeof body.to === 'string' ? [body.to] : [];
}

function faultOf(
  entry: Entry,
  pass: Pass | undefined,
  needsPass: boolean,
  find: (id: string) => Entry | undefined,
): Omit<RefusedEntry, 'id'> | undefined {
  if (needsPass) {
    const person = pass && personOf(pass);
    const { id, name, role } = entry.writer;
    if (!person || person.id !== id || person.name !== name || person.role !== role) {
      const reason = `This was written by ${name} (${role}), and this tablet’s pass is not theirs; it has to be sent from a tablet of theirs.`;
      return { code: 'writer', reason };
    }
  }
  if (!isKnown(entry)) return undefined;
  const answer = may(entry.writer, entry.body, find);
  return answer.may ? undefined : { code: answer.code, reason: answer.reason };
}
