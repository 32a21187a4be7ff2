/** What is written about the drawing on the paper: role, state, chart, exposures; and about the shot. */
import type { JSX } from 'preact';
import { drawingKey, drawingLabelled, levelNamed } from '../../shot/drawing-ref.ts';
import { commandById } from '../commands.ts';
import { addPanel } from '../extensions.ts';
import { Later } from '../later.tsx';
import { Mark } from '../mark.tsx';
import { StateEditor } from '../progress/state-editor.tsx';
import type { Session } from '../session.ts';
import { WriterName } from '../writer-name.tsx';
import { ChartEditor } from './chart-editor.tsx';
import { ExposureEditor } from './exposure-editor.tsx';
import { RoleEditor } from './role-editor.tsx';
import { ShotEditor } from './shot-editor.tsx';

function EditPanel({ session }: { session: Session }): JSX.Element {
  const { level: levelName, drawing: label } = session.model.value;
  const level = levelNamed(session.shot.value, levelName);
  const drawing = drawingLabelled(level, label);
  if (!level || !drawing) return <p>There is no drawing on the paper.</p>;
  return (
    <>
      <h3 class="panel-drawing">
        <Mark drawing={drawing} size={22} />
        <span class="unseen">{`Drawing ${label}`}</span>
      </h3>
      <RoleEditor session={session} level={level} drawing={drawing} />
      <StateEditor session={session} level={level} drawing={drawing} />
      <ChartEditor key={drawingKey(session.model.value)} session={session} level={level} drawing={drawing} />
      {drawing.chart && (
        <Later
          load={async () => (await import('./chart-parts-editor.tsx')).ChartPartsEditor}
          of={{ session, level, drawing, chart: drawing.chart }}
        />
      )}
      <ExposureEditor session={session} level={level} drawing={drawing} />
      <ShotEditor session={session} />
      <WriterName />
    </>
  );
}

addPanel({ id: 'edit', label: 'Edit', command: commandById('edit'), Body: EditPanel });
