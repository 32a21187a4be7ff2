/** Drawings done anew as PNG files, numbered as they came: one alone, or all in a zip. */
import { fileName } from '../../export/file-name.ts';
import { picturePath } from '../../intake/write-shot.ts';
import { drawingKey } from '../../shot/drawing-ref.ts';
import type { Made, MakeOptions } from '../make-slip.tsx';
import type { Session } from '../session.ts';
import type { Redrawn } from './messages.ts';
import type { redrawBridge } from './redraw-bridge.ts';
import { redrawAll, type ToRedraw } from './take-anew.ts';

/** `all`: every drawing that is handed out; those that do not change go with the others as they are. */
export async function handOut(
  session: Session,
  all: readonly Omit<ToRedraw, 'redo'>[],
  items: readonly ToRedraw[],
  what: string,
  worker: ReturnType<typeof redrawBridge>,
  { signal, onProgress }: MakeOptions,
): Promise<Made> {
  const files = new Map<string, Uint8Array>();
  const told = new Set<string>();
  const key = ({ level, drawing }: Omit<ToRedraw, 'redo'>): string => drawingKey({ level, drawing });
  const anew = new Map<string, Redrawn>();
  await redrawAll(items, { worker, signal, onProgress }, async (item, redrawn) => {
    anew.set(key(item), redrawn);
    for (const one of redrawn.told) told.add(one);
  });
  for (const one of all) {
    const redrawn = anew.get(key(one));
    const bytes = redrawn?.file ?? (await session.shelf.file(one.image.sha256));
    const type = redrawn ? 'image/png' : one.image.mediaType;
    if (bytes) files.set(picturePath(one.level, one.drawing, type), new Uint8Array(bytes));
  }
  const { title } = session.shot.peek();
  const [only] = files;
  if (files.size === 1 && only) {
    const [path, bytes] = only;
    const name = fileName(`${title} ${path}`);
    return {
      file: new File([bytes as Uint8Array<ArrayBuffer>], name, { type: 'image/png' }),
      told: [...told].join(' '),
    };
  }
  const { zipSync } = await import('fflate');
  // PNG is packed already.
  const zip = zipSync(Object.fromEntries(files), { level: 0 });
  const file = new File([zip], fileName(`${title} ${what}.zip`), {
    type: 'application/zip',
  });
  return { file, told: [...told].join(' ') };
}
