import type { Drawing, Level } from '../../shot/model.ts';
import type { Session } from '../session.ts';

/** What every part of the edit panel is about. */
export interface EditorProps {
  readonly session: Session;
  readonly level: Level;
  readonly drawing: Drawing;
}
