/** Against the due day: on time, or which drawings would be late. */
import type { JSX } from 'preact';
import type { Outlook } from '../../note/outlook.ts';
import { drawingKey, drawingOf } from '../../shot/drawing-ref.ts';
import { Icon } from '../icons.tsx';
import { Mark } from '../mark.tsx';
import type { Session } from '../session.ts';
import { dayWords, drawingsWords } from './words.ts';

/** Numbers written out; the rest is counted. */
const mostWritten = 24;

export function LateOnes({ session, outlook }: { session: Session; outlook: Outlook }): JSX.Element | null {
  const { dueDay, late, left } = outlook;
  if (dueDay === undefined || left.length === 0) return null;
  if (late.length === 0) return <p class="on-time">By {dayWords(dueDay)} all would be done.</p>;
  return (
    <div class="late">
      <p>
        <Icon name="warn" />
        By {dayWords(dueDay)}, {drawingsWords(late.length)} would not be done:
      </p>
      <ul>
        {late.slice(0, mostWritten).map((ref) => (
          <li key={drawingKey(ref)}>
            <Mark
              drawing={drawingOf(session.shot.value, ref) ?? { label: ref.drawing, takes: [] }}
              size={14}
            />
            <span class="unseen">{ref.drawing}</span>
          </li>
        ))}
        {late.length > mostWritten && <li>and {late.length - mostWritten} more</li>}
      </ul>
    </div>
  );
}
