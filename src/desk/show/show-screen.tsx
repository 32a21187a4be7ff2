/** What shows the shot to others, on one sheet of paper: the line test, and all drawings on pages. */
import type { JSX } from 'preact';
import { PegHoles } from '../fixes/peg-holes.tsx';
import type { Session } from '../session.ts';
import { SheetHead } from '../sheet-head.tsx';
import { ContactPart } from './contact-part.tsx';
import { LineTestPart } from './line-test-part.tsx';
import '../fixes/fixes.css';
import '../fixes/fix-paper.css';
import './show.css';

export function ShowScreen({ session }: { session: Session }): JSX.Element {
  return (
    <div class="fixes">
      <SheetHead session={session} />
      <section class="fix-paper show" aria-labelledby="show-title">
        <PegHoles />
        <header>
          <h2 id="show-title">
            To show <span class="fix-of">{session.shot.value.title}</span>
          </h2>
        </header>
        <LineTestPart session={session} />
        <ContactPart session={session} />
      </section>
    </div>
  );
}
