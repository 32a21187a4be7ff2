/** Files that were not taken, and taken ones that are odd: name, why, what to do. */
import type { JSX } from 'preact';
import type { OddFile } from '../intake/source.ts';

export function OddFiles({ odd }: { odd: readonly OddFile[] }): JSX.Element | null {
  if (odd.length === 0) return null;
  return (
    <>
      <OddTable title="Not taken" odd={odd.filter(({ taken }) => !taken)} />
      <OddTable title="Taken, and worth knowing" odd={odd.filter(({ taken }) => taken)} />
    </>
  );
}

function OddTable({ title, odd }: { title: string; odd: readonly OddFile[] }): JSX.Element | null {
  if (odd.length === 0) return null;
  return (
    <section class="leaf">
      <table class="odd-files">
        <caption>
          {title} ({odd.length})
        </caption>
        <thead>
          <tr>
            <th scope="col">File</th>
            <th scope="col">Why</th>
            <th scope="col">What to do</th>
          </tr>
        </thead>
        <tbody>
          {odd.map(({ name, why, todo }) => (
            <tr key={`${name} ${why}`}>
              <th scope="row">{name}</th>
              <td>{why}</td>
              <td>{todo}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
