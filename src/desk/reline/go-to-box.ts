/** Lays a drawing on the paper, and a place of it in view. */
import { batch } from '@preact/signals';
import type { Box } from '../../line/picture.ts';
import { bringIntoView } from '../bring-into-view.ts';
import { placementOf, toPaper } from '../notes/place.ts';
import type { Session } from '../session.ts';
import type { Placed } from './reline-desk.ts';

export function goToBox(session: Session, { level, drawing, image }: Placed, box: Box | undefined): void {
  batch(() => {
    session.act({ do: 'level', level: level.name });
    session.act({ do: 'drawing', label: drawing.label });
  });
  if (!box) return;
  const [x, y, width, height] = box;
  const placement = placementOf(session.shot.peek(), image, [image.width, image.height]);
  bringIntoView(session, toPaper(placement, [x + width / 2, y + height / 2]), Math.max(width, height) / 2);
}
