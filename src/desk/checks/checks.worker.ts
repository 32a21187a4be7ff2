/**
 * Measures drawings of this tablet's shelf: reads a picture by its hash, decodes it at full size, measures, and
 * keeps the result by what it depends on, so that neither a reload nor an unchanged take measures again. Also
 * answers the paint test. The page gets results with their arrays transferred.
 */
import type { Request, Result } from '../../check/jobs.ts';
import { type HouseFound, houseFaults, houseKey } from '../../check/ready/house.ts';
import { runJob } from '../../check/run-job.ts';
import { SentenceError } from '../../error/sentence.ts';
import { decode } from '../../intake/decode.ts';
import type { Picture } from '../../line/picture.ts';
import { isRefused } from '../../line/refused.ts';
import { Workspace } from '../../line/workspace.ts';
import { measuringShelf } from '../../shelf/kept-measures.ts';
import { answerJobs, type Breathe } from '../../work/answer.ts';
import { workerDesk } from '../../work/worker-desk.ts';
import type { ChecksAnswer, ChecksAsk, HouseQuestion } from './messages.ts';
import { createPaintGround } from './paint-ground.ts';

const shelf = measuringShelf();
/** One job at a time, so one set of arrays serves the whole shot. */
const workspace = new Workspace();
const ground = createPaintGround(pictureOf);

answerJobs<ChecksAsk, ChecksAnswer>(workerDesk(), answer, arraysIn);

async function answer(ask: ChecksAsk, breathe: Breathe): Promise<ChecksAnswer> {
  if (ask.kind === 'paint') return ground(ask);
  if (ask.kind === 'house') return { house: await heldAgainst(ask) };
  if (ask.kind === 'sweep') {
    await shelf.sweep();
    return undefined;
  }
  return measured(ask, breathe);
}

async function pictureOf(sha256: string): Promise<Picture> {
  const file = await shelf.file(sha256);
  if (!file) throw new SentenceError('missing', 'its file is not on this tablet');
  return (await decode(file)).picture;
}

async function measured(request: Request<string>, breathe: Breathe): Promise<Result> {
  if (request.key === '') return runJob(request, pictureOf, workspace, breathe);
  // Not kept, or the shelf cannot be read now: it is measured.
  const kept = await shelf.get(request.key).catch(() => undefined);
  if (kept) return kept as Result;
  const result = await runJob(request, pictureOf, workspace, breathe);
  await breathe();
  // Measured again at another visit when it could not be kept.
  await shelf.set(request.key, result).catch(() => undefined);
  return result;
}

async function heldAgainst({ sha256, rules }: HouseQuestion): Promise<HouseFound> {
  const key = houseKey(sha256, rules);
  const kept = await shelf.get(key).catch(() => undefined);
  if (kept) return kept as HouseFound;
  const found = houseFaults(await pictureOf(sha256), rules);
  await shelf.set(key, found).catch(() => undefined);
  return found;
}

/** What can go to the page without being copied. */
function arraysIn(answer: ChecksAnswer): ArrayBuffer[] {
  if (!answer) return [];
  if ('paint' in answer) return [answer.paint.runs.buffer, answer.paint.meant.buffer];
  if (!('samples' in answer)) return [];
  const { samples, digests, drift } = answer;
  const { x, y, tangentRad, widthPx, chainStart, chainClosed } = samples;
  const arrays = [x, y, tangentRad, widthPx, chainStart, chainClosed, digests.values];
  if (!isRefused(drift)) arrays.push(drift.alongPx);
  return arrays.map(({ buffer }) => buffer as ArrayBuffer);
}
