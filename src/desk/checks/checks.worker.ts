/**
 * Measures drawings of this tablet's shelf: reads a picture by its hash, decodes it at full size, measures, and
 * keeps the result by what it depends on, so that neither a reload nor an unchanged take measures again. Also
 * answers the paint test. The page gets results with their arrays transferred.
 */
import { answer } from '../../check/answer.ts';
import type { Results } from '../../check/jobs.ts';
import type { FromWorker, ToWorker } from '../../check/pool.ts';
import { decode } from '../../intake/decode.ts';
import type { Picture } from '../../line/picture.ts';
import { isRefused } from '../../line/refused.ts';
import { Workspace } from '../../line/workspace.ts';
import { measuringShelf } from '../../shelf/kept-measures.ts';
import type { PaintQuestion, ToChecksWorker } from './messages.ts';
import { createPaintGround } from './paint-ground.ts';

const shelf = measuringShelf();
/** One job at a time, so one set of arrays serves the whole shot. */
const workspace = new Workspace();
const ground = createPaintGround(pictureOf);

self.addEventListener('message', ({ data }: MessageEvent<ToChecksWorker>) => {
  if ('sweep' in data) void shelf.sweep().catch(() => undefined);
  else if ('paint' in data) void painted(data.paint);
  else void measured(data);
});

async function pictureOf(sha256: string): Promise<Picture> {
  const file = await shelf.file(sha256);
  if (!file) throw new Error('its file is not on this tablet');
  return (await decode(file)).picture;
}

async function measured(message: ToWorker<string>): Promise<void> {
  const { id, request } = message;
  const kept = await shelf.get(request.key).catch(() => undefined);
  const reply = kept ? ({ id, result: kept } as FromWorker) : await answer(message, pictureOf, workspace);
  if ('result' in reply && !kept) await shelf.set(request.key, reply.result).catch(() => undefined);
  const arrays =
    'result' in reply && request.kind === 'drawing' ? arraysIn(reply.result as Results['drawing']) : [];
  self.postMessage(reply, arrays);
}

async function painted(question: PaintQuestion): Promise<void> {
  const reply = await ground(question);
  self.postMessage(reply, 'paint' in reply ? [reply.paint.runs.buffer, reply.paint.meant.buffer] : []);
}

/** What can go to the page without being copied. */
function arraysIn({ samples, digests, drift }: Results['drawing']): Transferable[] {
  const { x, y, tangentRad, widthPx, chainStart, chainClosed } = samples;
  const arrays = [x, y, tangentRad, widthPx, chainStart, chainClosed, digests.values];
  if (!isRefused(drift)) arrays.push(drift.alongPx);
  return [...new Set(arrays.map(({ buffer }) => buffer))] as ArrayBuffer[];
}
