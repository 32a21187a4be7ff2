/** The same pack gives the same fix list on a tablet and at a prompt, whatever was set on the tablet. */
import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterEach, expect, test, vi } from 'vitest';
import type { Finding } from '../../../src/check/finding.ts';
import { findingsOf } from '../../../src/check/findings.ts';
import type { Request, Result } from '../../../src/check/jobs.ts';
import { runJob } from '../../../src/check/run-job.ts';
import { saidShot } from '../../../src/check/said-shot.ts';
import { measure } from '../../../src/cli/check.ts';
import { checksOf } from '../../../src/desk/checks/checks-desk.ts';
import { findingsOf as deskFindings } from '../../../src/desk/findings.ts';
import { fixesOf } from '../../../src/desk/fixes/fixes-desk.ts';
import { redrawnWords } from '../../../src/desk/fixes/redrawn.ts';
import { openSession } from '../../../src/desk/session.ts';
import { fixCsv } from '../../../src/export/fix-csv.ts';
import { decodePicture } from '../../../src/intake/node/decode-picture.ts';
import { type DiskShot, readShot } from '../../../src/intake/node/read-shot.ts';
import { Workspace } from '../../../src/line/workspace.ts';
import type { Body, Entry } from '../../../src/note/entry.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import { imagesOf } from '../../../src/shot/images-of.ts';
import { answerJobs } from '../../../src/work/answer.ts';
import type { FromWorker, ToWorker } from '../../../src/work/messages.ts';
import { writePlantedShot } from '../../support/planted-shot.ts';
import { putShot } from '../../support/put-shot.ts';
import { handClock } from '../desk/hand-clock.ts';

const root = resolve(import.meta.dirname, '../../..');
const folders: string[] = [];
afterEach(async () => {
  vi.unstubAllGlobals();
  for (const folder of folders.splice(0)) await rm(folder, { recursive: true, force: true });
});

const prompt = (...args: string[]): Promise<string> =>
  new Promise((done) => {
    const command = ['--import', 'tsx', join(root, 'src/cli/main.ts'), 'fixlist', ...args];
    execFile(process.execPath, command, { cwd: root, maxBuffer: 1e8 }, (_, stdout) => done(stdout));
  });

/** Measures with the files of a folder, as the tablet's worker does with those of its shelf. */
function workerOn(disk: DiskShot) {
  const images = new Map(imagesOf(disk.shot).map((image) => [image.sha256, image]));
  return class {
    #hear: (message: ToWorker<Request<string>>) => void = () => undefined;
    #listen: ((event: { data: FromWorker<Result> }) => void) | undefined;
    constructor() {
      const workspace = new Workspace();
      const open = async (sha256: string) => decodePicture(await disk.bytes(images.get(sha256)!));
      answerJobs<Request<string>, Result>(
        {
          listen: (listener) => {
            this.#hear = listener;
          },
          send: (data) => this.#listen?.({ data }),
        },
        (request, breathe) => runJob(request, open, workspace, breathe),
      );
    }
    addEventListener(type: string, listener: (event: { data: FromWorker<Result> }) => void): void {
      if (type === 'message') this.#listen = listener;
    }
    postMessage(message: ToWorker<Request<string>>): void {
      if ('ask' in message && !('clean' in message.ask) && !('a' in message.ask)) return;
      this.#hear(message);
    }
    terminate(): void {}
  };
}

/** The fix list of an opened shot, as its table, once everything is measured. */
async function onTheDesk(disk: DiskShot, entries: readonly Entry[]): Promise<string> {
  vi.stubGlobal('Worker', workerOn(disk));
  vi.stubGlobal('navigator', { hardwareConcurrency: 2 });
  vi.stubGlobal('document', { querySelector: () => null });
  const shelf = memoryShelf();
  const dot = { width: 1, height: 1, channels: 1, data: new Uint8Array(1) } as const;
  for (const ref of imagesOf(disk.shot))
    await shelf.keepImage({ ref, file: new ArrayBuffer(1), thumb: dot, flip: dot });
  await putShot(shelf, disk.shot);
  await shelf.addEntries(entries, 'studio');
  const clock = handClock();
  const session = await openSession(shelf, clock, disk.shot.id);
  if (!session) throw new Error('no session');
  const checks = checksOf(session);
  await vi.waitFor(
    () => {
      clock.pass(1000);
      const { done, total } = checks.progress.value;
      if (total === 0 || done < total) throw new Error(`${done} of ${total} measured`);
    },
    { timeout: 60_000, interval: 20 },
  );
  await vi.waitFor(() => {
    clock.pass(1000);
    expect(deskFindings(session).found.value?.length).toBeGreaterThan(0);
    expect(deskFindings(session).measured.value).toBeUndefined();
  });
  const table = fixCsv(fixesOf(session).rows.value, (row) => redrawnWords(session, row));
  checks.close();
  await session.close();
  return table;
}

test('roles, charts, tolerances, dismissals and notes of a tablet reach the findings at the prompt', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'fairpeg-two-'));
  folders.push(folder);
  await writePlantedShot(folder, {
    name: 'small shapes',
    width: 640,
    height: 420,
    strokePx: 3,
    paper: 'white',
    rough: 'line',
  });
  const disk = await readShot(folder);
  const plain = saidShot(disk.shot, []);
  const measures = await measure(disk, { workers: 2, tolerances: plain.tolerances, quiet: true });
  const found = findingsOf(plain.shot, measures, plain.tolerances);
  const [dismissed, noted] = [found.at(0), found.at(-1)];
  if (!dismissed || !noted || dismissed === noted) throw new Error('too little was found');
  const at = { level: '' };
  const pin = (finding: Finding): Body => ({
    ...at,
    kind: 'pin',
    drawing: finding.drawing,
    drawings: [finding.drawing],
    image: 'x',
    sizePx: [640, 420],
    at: [10, 20],
    strokes: [],
    about: 'extra',
    text: 'Take it off.',
    finding: finding.key,
  });
  const bodies: Body[] = [
    // Keys decide the weight that all are held against.
    { ...at, kind: 'role', drawing: '1', role: 'inbetween' },
    { ...at, kind: 'chart', drawing: '7', chart: { from: '5', to: '9', fraction: 0.2 } },
    { kind: 'tolerance', name: 'weight', value: 0.02 },
    { kind: 'tolerance', name: 'leakPx', value: 9 },
    { kind: 'tolerance', name: 'driftPx', value: 1 },
    {
      ...at,
      kind: 'dismiss',
      drawing: dismissed.drawing,
      finding: dismissed.key,
      lineDigest: dismissed.lineDigest,
      reason: 'drawn so',
    },
    pin(noted),
  ];
  const entries = bodies.map(
    (body, n): Entry => ({
      v: 1,
      id: `e${n}`,
      shot: disk.shot.id,
      writer: { id: 'ana', name: 'Ana', role: 'director' },
      stamp: { wallMs: 1000 + n, counter: 0 },
      body,
    }),
  );
  await mkdir(join(folder, 'fairpeg'));
  await writeFile(join(folder, 'fairpeg/entries.json'), JSON.stringify({ v: 1, entries }));

  const atPrompt = await prompt(folder, '--csv', '-');
  expect(await onTheDesk(disk, entries)).toBe(atPrompt);
  // And it is not the list of the shot without what was set.
  await rm(join(folder, 'fairpeg'), { recursive: true });
  expect(await prompt(folder, '--csv', '-')).not.toBe(atPrompt);
}, 300_000);
