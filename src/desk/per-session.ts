import type { Session } from './session.ts';

/** What a room holds for an open shot: made when first asked for, gone with its session. */
export function perSession<T>(open: (session: Session) => T): (session: Session) => T {
  const held = new WeakMap<Session, T>();
  return (session) => {
    const known = held.get(session);
    if (known !== undefined) return known;
    const made = open(session);
    held.set(session, made);
    return made;
  };
}
