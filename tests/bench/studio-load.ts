/** What benches of the studio server send and ask: notes in batches, from many tablets, and a first sync in a browser. */
import { rmSync } from 'node:fs';
import { Agent, request } from 'node:http';
import { median } from '../../src/line/statistics.ts';
import type { Entry } from '../../src/note/entry.ts';
import { launchKept, until } from '../support/browser.ts';
import { temporaryFolder } from '../support/studio-server.ts';
import type { Row } from './row.ts';

export const batchEntries = 200;

/** A note of usual size: three strokes of a hundred points. */
function note(id: string, shot: string, at: number): Entry {
  const points = Array.from({ length: 300 }, (_, n) => (n % 3 === 2 ? 0.5 : 100 + ((n * 37 + at) % 800)));
  return {
    v: 1,
    id,
    shot,
    writer: { id: 'person-1', name: 'Ana', role: 'director' },
    stamp: { wallMs: at, counter: 0 },
    body: {
      kind: 'pin',
      level: '',
      drawing: '12',
      drawings: ['12'],
      image: 'a'.repeat(64),
      sizePx: [1920, 1080],
      at: [400, 250],
      strokes: [1, 2, 3].map((widthPx) => ({ colour: 'red' as const, widthPx, points })),
      about: 'volume',
      text: 'The cheek swells here; take the line in by its own width.',
    },
  };
}

export interface Text {
  readonly id: string;
  readonly json: string;
}

/** Notes as texts, in batches: each batch is one request, and one commit of the bare inserts. */
export function batchesOf(name: string, shot: string, count: number): Text[][] {
  const texts = Array.from({ length: count }, (_, n) => {
    const id = `${name}-${n}`;
    return { id, json: JSON.stringify(note(id, shot, n)) };
  });
  return Array.from({ length: Math.ceil(count / batchEntries) }, (_, n) =>
    texts.slice(n * batchEntries, (n + 1) * batchEntries),
  );
}

/** Seconds until the last batch is acknowledged, sent by so many tablets at once, each one after the other. */
export async function throughServer(
  url: URL,
  all: readonly Text[][],
  senders: number,
  more: Readonly<Record<string, string>> = {},
): Promise<number> {
  const queue = all.map(bodyOf).values();
  const start = performance.now();
  await Promise.all(
    Array.from({ length: senders }, async () => {
      for (const body of queue) await post(url, body, more);
    }),
  );
  return (performance.now() - start) / 1000;
}

const bodyOf = (batch: readonly Text[]): Buffer => Buffer.from(batch.map(({ json }) => json).join('\n'));

export const agent = new Agent({ keepAlive: true, maxSockets: 200 });

async function post(url: URL, body: Buffer, more: Readonly<Record<string, string>>): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    const headers = { ...more, 'content-type': 'application/x-ndjson', 'content-length': body.length };
    const asked = request(new URL('api/entries', url), { method: 'POST', agent, headers }, (response) => {
      let said = '';
      response
        .on('data', (piece: Buffer) => {
          said += String(piece);
        })
        .on('end', () =>
          response.statusCode === 200 ? resolve() : reject(new Error(`${response.statusCode} ${said}`)),
        );
    });
    asked.on('error', reject).end(body);
  });
}

/**
 * Milliseconds that an empty tablet (a browser of its own, its shelf on the disk) takes to have all notes of a shot.
 * Not in a private context: that one keeps its databases in memory, where each commit costs more the more is kept.
 */
async function firstSync(url: URL, shot: string, count: number): Promise<number> {
  const folder = temporaryFolder();
  const tablet = await launchKept(folder);
  try {
    const page = await tablet.newPage();
    await page.goto(new URL(`?shot=${shot}`, url).href);
    await until(page, () => 'tablet' in globalThis);
    const ms = await page.evaluate(() => globalThis.tablet.firstSync);
    const got = await page.evaluate(async () => (await globalThis.tablet.ids()).length);
    if (got !== count) throw new Error(`The tablet has ${got} of ${count} notes.`);
    return ms;
  } finally {
    await tablet.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** `where` ends each name. */
export async function syncRows(url: URL, where = ''): Promise<Row[]> {
  const medianMs = async (shot: string, count: number): Promise<number> => {
    await throughServer(url, batchesOf(shot, shot, count), 1);
    const times: number[] = [];
    for (let n = 0; n < 3; n++) times.push(await firstSync(url, shot, count));
    return median(times);
  };
  // An empty shot costs what any start costs.
  const none = await medianMs('none', 0);
  const small = await medianMs('small', 500);
  const large = await medianMs('large', 5000);
  return [
    { name: `first sync of 500 notes in a browser${where}`, value: small, unit: 'ms' },
    { name: `first sync of 5,000 notes in a browser${where}`, value: large, unit: 'ms' },
    // Ten times as many notes: 1 is linear, 10 would be quadratic.
    {
      name: `the same without a start’s own time, a note: 5,000 against 500${where}`,
      value: (large - none) / (10 * (small - none)),
      unit: '×',
      limit: 1.5,
    },
  ];
}
