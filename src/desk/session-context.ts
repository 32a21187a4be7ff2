import { createContext } from 'preact';
import { useContext } from 'preact/hooks';
import type { Session } from './session.ts';

export const SessionContext = createContext<Session | undefined>(undefined);

export function useSession(): Session {
  const session = useContext(SessionContext);
  if (!session) throw new Error('A part of the desk stands outside the desk.');
  return session;
}
