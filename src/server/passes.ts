/** Who may come in: one-time codes, and the tokens that tablets get for them. */
import { createHash, randomBytes, randomInt, randomUUID } from 'node:crypto';
import type { IncomingMessage } from 'node:http';
import { isIP } from 'node:net';
import { reservedIds } from '../wire/people.ts';
import type { Limits } from './limits.ts';
import { Refusal } from './refusal.ts';
import type { Pass, PassStore } from './store/types.ts';

/** Without I, L, O and U: read aloud and typed without doubt (Crockford's base 32, from memory). */
const letters = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
/** 50 bits: see `limits.ts`. */
const codeLetters = 10;
/** A code that nobody used in a week is worth nothing. */
const codeLifeMs = 7 * 86_400_000;

export type NewPass = Pick<Pass, 'name' | 'role'> & { readonly owner?: boolean; readonly personId?: string };

/** Makes a pass; the code is shown once and kept as a hash only. */
export async function makePass(
  store: PassStore,
  wanted: NewPass,
  nowMs: number,
): Promise<{ pass: Pass; code: string }> {
  const code = Array.from({ length: codeLetters }, () => letters[randomInt(letters.length)]).join('');
  const pass: Pass = {
    id: randomUUID(),
    name: wanted.name,
    role: wanted.role,
    owner: wanted.owner ?? false,
    personId: wanted.personId,
    madeMs: nowMs,
    joinedMs: undefined,
    revokedMs: undefined,
  };
  await store.makePass(pass, hash(code));
  return { pass, code: `${code.slice(0, codeLetters / 2)}-${code.slice(codeLetters / 2)}` };
}

/**
 * The owner's code for the start of a server on the network: undefined once an owner has joined. One that
 * was printed and not used is replaced, since only its hash is kept.
 */
export async function ownerCode(store: PassStore, nowMs: number): Promise<string | undefined> {
  const owners = (await store.passes()).filter((pass) => pass.owner && pass.revokedMs === undefined);
  if (owners.some((pass) => pass.joinedMs !== undefined)) return undefined;
  for (const unused of owners) await store.revokePass(unused.id, nowMs);
  return (await makePass(store, { name: 'Owner', role: 'director', owner: true }, nowMs)).code;
}

export interface Gate {
  /** The pass behind a request, if any. */
  passOf(request: IncomingMessage): Promise<Pass | undefined>;
  /** Uses a code up. Wrong guesses are counted, and refused beyond the limits. */
  join(
    code: string,
    wantedPersonId: string,
    address: string,
    nowMs: number,
  ): Promise<{ pass: Pass; token: string }>;
}

export function gate(store: PassStore, limits: Limits, secure: boolean): Gate {
  return {
    async passOf(request) {
      const token = readCookie(request.headers.cookie, secure);
      return token === undefined ? undefined : store.passOfToken(hash(token));
    },
    async join(code, wantedPersonId, address, nowMs) {
      const token = randomBytes(32).toString('base64url');
      const otherId = randomUUID();
      const pass = await store.join({
        codeHash: hash(tidy(code)),
        tokenHash: hash(token),
        personId: reservedIds.has(wantedPersonId) ? otherId : wantedPersonId,
        otherId,
        nowMs,
        maxAgeMs: codeLifeMs,
        guesses: {
          from: network(address),
          perAddress: limits.guessesPerAddress,
          inAll: limits.guessesInAll,
        },
      });
      if (pass === 'too many') throw tooManyGuesses();
      if (pass !== 'wrong') return { pass, token };
      throw new Refusal(
        403,
        'code',
        'This code is not known, was used already or is older than a week. Ask whoever runs the studio server for a new one.',
      );
    },
  };
}

function tooManyGuesses(): Refusal {
  const reason =
    'Too many codes were tried. Wait ten minutes, then try again; nothing on your tablet is lost.';
  return new Refusal(429, 'guesses', reason, { 'retry-after': '600' });
}

/** One household has 2^64 addresses of IPv6 (RFC 6177): its network counts, not the address. */
function network(address: string): string {
  if (isIP(address) !== 6 || address.startsWith('::ffff:')) return address;
  const [head = '', tail] = address.split('::');
  const groups = head.split(':');
  const missing = tail === undefined ? 0 : 8 - groups.length - tail.split(':').length;
  return [...groups, ...Array<string>(Math.max(0, missing)).fill('0'), ...(tail ?? '').split(':')]
    .slice(0, 4)
    .join(':');
}

/** As people type: small letters, spaces, dashes, and O, I, L for the digits they look like. */
function tidy(code: string): string {
  return code
    .toUpperCase()
    .replace(/[^0-9A-Z]/g, '')
    .replaceAll('O', '0')
    .replace(/[IL]/g, '1');
}

function hash(secret: string): string {
  return createHash('sha256').update(secret).digest('hex');
}

/** `__Host-` binds the cookie to this very origin (RFC 6265bis); browsers allow it over HTTPS only. */
const cookieName = (secure: boolean): string => (secure ? '__Host-fairpeg' : 'fairpeg');
/** The longest that browsers keep a cookie is 400 days (RFC 6265bis). It is renewed while the tablet is used. */
const cookieLifeS = 400 * 86_400;

export function passCookie(token: string, secure: boolean): string {
  const base = `${cookieName(secure)}=${token}; Path=/; Max-Age=${cookieLifeS}; HttpOnly; SameSite=Strict`;
  return secure ? `${base}; Secure` : base;
}

/** Over HTTPS only the name counts that another host of the domain cannot set: a planted one says nothing. */
export function readCookie(header: string | undefined, secure: boolean): string | undefined {
  const start = `${cookieName(secure)}=`;
  const own = (header ?? '').split(';').find((cookie) => cookie.trim().startsWith(start));
  const token = own?.trim().slice(start.length);
  return token !== undefined && /^[\w-]{20,100}$/.test(token) ? token : undefined;
}
