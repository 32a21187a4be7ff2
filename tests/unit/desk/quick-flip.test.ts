import { expect, it } from 'vitest';
import { penButton, quickFlip, rememberLast } from '../../../src/desk/quick-flip.ts';
import { openSession } from '../../../src/desk/session.ts';
import { setTable } from '../../../src/desk/table.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { shelfWith } from './a-shelf.ts';
import { figure } from './a-shot.ts';
import { handClock } from './hand-clock.ts';

const base: Shot = { id: 'shot-q', title: 'The hat', fps: 24, sizePx: [1920, 1080], levels: [figure] };

it('goes to and fro between this drawing and the last, by the pen’s side button too', async () => {
  const session = await openSession(await shelfWith(base), handClock(), base.id);
  if (!session) throw new Error('no session');
  const stop = rememberLast(session);
  const here = (): string => session.model.peek().drawing;
  session.act({ do: 'drawing', label: '2' });
  session.act({ do: 'drawing', label: '5' });
  quickFlip(session);
  expect(here()).toBe('2');
  penButton(session, true);
  expect(here()).toBe('5');
  // Letting the button go flips nothing.
  penButton(session, false);
  expect(here()).toBe('5');
  setTable({ penButton: 'the other layer' });
  penButton(session, true);
  expect([here(), session.model.peek().other]).toEqual(['5', true]);
  setTable({ penButton: 'the last drawing' });
  stop();
});
