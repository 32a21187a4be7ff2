/** Which posted entries may be stored, and what is said of the others. One bad entry stops no other. */
import type { Entry, Person } from '../../note/entry.ts';
import { may } from '../../note/may.ts';
import { isReserved, isTrueOrigin } from '../../note/origin.ts';
import { isKnown, type Parsed, parseEntry } from '../../note/parse.ts';
import { isTooLong, mostAheadMs, type RefusedCode, readSealed } from '../../wire/entries.ts';
import type { Images } from '../pictures/images.ts';
import type { Seal } from '../seal.ts';
import type { EntryStore, Pass, Written } from '../store/types.ts';
import { personOf } from './people.ts';

export interface RefusedEntry {
  readonly id: string | undefined;
  readonly code: RefusedCode;
  readonly reason: string;
}

interface Line {
  readonly value: unknown;
  readonly json: string;
}

export interface Asked {
  /** Whoever sends them; absent at a server for one person. */
  readonly pass: Pass | undefined;
  readonly needsPass: boolean;
  readonly nowMs: number;
}

export interface JudgeNeeds {
  readonly store: Pick<EntryStore, 'find'>;
  readonly seal: Pick<Seal, 'holds'>;
  readonly images: Pick<Images, 'has'>;
}

type Fault = Omit<RefusedEntry, 'id'>;

/**
 * What is stored already is not judged again: sending twice is no fault. What this server sealed it has acknowledged
 * before, whoever sends it. Of the rest, those that speak of another entry come last, so that they may speak of one
 * that is taken together with them. `unseen`: pictures that accepted entries name, and nobody looked whether they are here.
 */
export async function judge(
  lines: readonly Line[],
  asked: Asked,
  { store, seal, images }: JudgeNeeds,
): Promise<{ accepted: Written[]; refused: RefusedEntry[]; unseen: string[] }> {
  const refused: RefusedEntry[] = [];
  const offered: (Written & { readonly isSealed: boolean })[] = [];
  for (const line of lines) {
    const { parsed, json, sealed } = readLine(line);
    if (!parsed.ok) refused.push({ id: parsed.id, code: 'form', reason: parsed.reason });
    else {
      const isSealed = sealed !== undefined && seal.holds(parsed.entry, sealed);
      offered.push({ entry: parsed.entry, json, isSealed });
    }
  }
  const known = await store.find(offered.flatMap(({ entry }) => [entry.id, ...targetOf(entry)]));
  const lacking = await lackingImages(offered, images);
  const taken = new Map<string, Entry>();
  const find = (id: string): Entry | undefined => known.get(id) ?? taken.get(id);
  const faults = new Map<Written, Fault>();
  const [alone, speaking] = [
    offered.filter(({ entry }) => targetOf(entry).length === 0),
    offered.filter(({ entry }) => targetOf(entry).length > 0),
  ];
  for (const one of [...alone, ...speaking]) {
    const { entry, isSealed } = one;
    const fault = isSealed || known.has(entry.id) ? undefined : faultOf(one, asked, find, lacking);
    if (fault) faults.set(one, fault);
    else taken.set(entry.id, entry);
  }
  for (const [{ entry }, fault] of faults) refused.push({ id: entry.id, ...fault });
  const accepted = offered.filter((one) => !faults.has(one));
  const unseen = accepted.flatMap(({ entry, isSealed }) => (isSealed ? (pictureOf(entry) ?? []) : []));
  return { accepted, refused, unseen };
}

/** An entry that is given back under a seal is kept as `JSON.stringify` writes it, without what was around it. */
function readLine({ value, json }: Line): {
  readonly parsed: Parsed;
  readonly json: string;
  readonly sealed?: string;
} {
  const given = readSealed(value);
  if (!given) return { parsed: parseEntry(value), json };
  const parsed = parseEntry(given.entry);
  return { parsed, json: parsed.ok ? JSON.stringify(given.entry) : '', sealed: given.sealed };
}

const tooLong: Fault = {
  code: 'size',
  reason: 'It is longer than a million characters; draw it as several notes.',
};

function targetOf(entry: Entry): string[] {
  return isKnown(entry) && 'to' in entry.body ? [entry.body.to] : [];
}

function pictureOf(entry: Entry): string | undefined {
  if (!isKnown(entry) || (entry.body.kind !== 'take' && entry.body.kind !== 'rough')) return undefined;
  return entry.body.image?.sha256;
}

const atOnce = 16;

async function lackingImages(
  offered: readonly { readonly entry: Entry; readonly isSealed: boolean }[],
  images: Pick<Images, 'has'>,
): Promise<ReadonlySet<string>> {
  const named = new Set<string>();
  for (const { entry, isSealed } of offered) {
    const picture = isSealed ? undefined : pictureOf(entry);
    if (picture) named.add(picture);
  }
  const lacking = new Set<string>();
  const asked = [...named];
  // Some at one time: where pictures lie in an object store, each answer takes a while.
  for (let n = 0; n < asked.length; n += atOnce)
    await Promise.all(
      asked.slice(n, n + atOnce).map(async (picture) => {
        if (!(await images.has(picture))) lacking.add(picture);
      }),
    );
  return lacking;
}

function faultOf(
  { entry, json }: Written,
  { pass, needsPass, nowMs }: Asked,
  find: (id: string) => Entry | undefined,
  lacking: ReadonlySet<string>,
): Fault | undefined {
  const { writer, stamp, body } = entry;
  if (isTooLong(json)) return tooLong;
  if (isReserved(writer.id)) {
    if (!isTrueOrigin(entry)) return foreign(writer);
  } else if (needsPass && !isSame(writer, pass && personOf(pass))) return foreign(writer);
  if (stamp.wallMs > nowMs + mostAheadMs) return { code: 'clock', reason: aheadReason };
  const picture = pictureOf(entry);
  if (picture !== undefined && lacking.has(picture))
    return { code: 'early', reason: 'Its picture has not arrived here yet.' };
  if (!isKnown(entry)) return undefined;
  const answer = may(writer, body, find);
  return answer.may ? undefined : { code: answer.code, reason: answer.reason };
}

const aheadReason =
  'It is dated more than a day ahead of the studio server’s clock. Set the clock of the tablet, or of the server, whichever is wrong; it is sent again later.';

function isSame(writer: Person, person: Person | undefined): boolean {
  return (
    person !== undefined &&
    person.id === writer.id &&
    person.name === writer.name &&
    person.role === writer.role
  );
}

function foreign({ name, role }: Person): Fault {
  const reason = `This was written by ${name} (${role}), and this tablet’s pass is not theirs; it has to be sent from a tablet of theirs.`;
  return { code: 'writer', reason };
}
