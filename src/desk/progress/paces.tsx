/** What each did, and on what the forecast rests. */
import type { JSX } from 'preact';
import type { Outlook } from '../../note/outlook.ts';
import type { Session } from '../session.ts';
import { groundsWords, paceWords } from './words.ts';

export function Paces({ session, outlook }: { session: Session; outlook: Outlook }): JSX.Element {
  const names = new Map(
    session.ledger.entries.value.map(({ writer }) => [writer.id, writer.name || writer.role]),
  );
  return (
    <section class="paces" aria-label="Pace">
      {outlook.people.length > 0 && (
        <table>
          <thead>
            <tr>
              <th scope="col">Who</th>
              <th scope="col">drawings</th>
              <th scope="col">working days</th>
              <th scope="col">a day</th>
            </tr>
          </thead>
          <tbody>
            {outlook.people.map(({ person, drawings, days, drawingsADay }) => (
              <tr key={person}>
                <th scope="row">{names.get(person) ?? 'somebody'}</th>
                <td>{drawings}</td>
                <td>{days}</td>
                <td>{paceWords(drawingsADay)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <p class="hint">{groundsWords(outlook)}</p>
    </section>
  );
}
